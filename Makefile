# make demo   size the invented fire-watch truck, print the report, write its order sheet to out/
# make open   the same truck on the workbench, in the browser
# make test   run the whole test suite; make test-lowest, test-other: on the lowest versions allowed, on another Python; test-gpu: the drive for a graphics processor
# make check  lint, types and the import contract
# make docs   build the documents as a site in out/docs, strictly and without a network
# make dist   wheel and sdist in out/dist, each tried in an environment of its own
# make fuzz   break files of every kind, and make up vehicles, at random for a minute each, or as long as asked: make fuzz SECONDS=3600 SEED=2
# make kill   kill what writes, at random and before each step on the disk; make attack: attack a served workbench; both likewise
# make pins   renew requirements.txt and requirements-test.txt: versions and the hashes of their files
# Each sets up what it needs: Python >= 3.11, make and a package registry are enough.

PYTHON ?= python3
SECONDS ?= 60
SEED ?= 1
OTHER ?= python3.13
BIN := .venv/bin
INSTALL := pip install --quiet --disable-pip-version-check
PLAIN := tests/vehicle/test_design_file.py tests/cli/test_cli.py tests/parts/test_parts.py tests/motion/test_motion.py tests/motion/test_drive.py tests/workbench/test_workbench.py tests/workbench/test_serve_ends.py tests/report/test_report.py tests/test_formulas.py tests/test_units.py tests/test_cells.py tests/parts/test_catalogue.py tests/test_package.py

.PHONY: help demo open docs dist test test-lowest test-other test-gpu check fuzz kill attack bench pins clean

help:
	@sed -n 's/^# \(make .*\)/\1/p' Makefile

demo: .venv/ready
	@mkdir -p out
	@$(BIN)/springwright size src/springwright/demos/fire-watch.toml
	@$(BIN)/springwright size src/springwright/demos/fire-watch.toml -o out/fire-watch.pdf

open: .venv/ready
	@mkdir -p out
	@[ -f out/fire-watch.toml ] || $(BIN)/springwright new out/fire-watch.toml --demo fire-watch
	@cd out && ../$(BIN)/springwright open fire-watch.toml

test: .venv/tests
	@$(BIN)/pytest -n auto

check: .venv/tests
	@$(BIN)/ruff check --quiet
	@$(BIN)/ruff format --check --quiet
	@$(BIN)/mypy --no-error-summary
	@out=$$($(BIN)/lint-imports 2>&1) || { echo "$$out"; exit 1; }

docs: .venv/docs
	@$(BIN)/sphinx-build --quiet --fail-on-warning --keep-going --fresh-env docs out/docs

dist: .venv/python
	@$(PYTHON) -m venv .venv/build
	@.venv/build/bin/python -m $(INSTALL) build 2>.venv/log || { cat .venv/log; exit 1; }
	@rm -rf out/dist && .venv/build/bin/python -m build --outdir out/dist . >.venv/log 2>&1 || { cat .venv/log; exit 1; }
	@for made in out/dist/*.whl out/dist/*.tar.gz; do \
	  rm -rf .venv/tried && $(PYTHON) -m venv .venv/tried && .venv/tried/bin/python -m $(INSTALL) $$made 2>.venv/log || { cat .venv/log; exit 1; }; \
	  (cd out && ../.venv/tried/bin/springwright --version && ../.venv/tried/bin/springwright rate --mass "1740 kg" --frequency "1.25 Hz" >/dev/null && ../.venv/tried/bin/springwright lesson 1 >/dev/null) || exit 1; \
	done

fuzz: .venv/tests
	@$(BIN)/python -m tests.campaigns.mutants --seconds $(SECONDS) --seed $(SEED)
	@$(BIN)/python -m tests.campaigns.vehicles --seconds $(SECONDS) --seed $(SEED)

kill: .venv/tests
	@$(BIN)/python -m tests.campaigns.kills --seconds $(SECONDS) --seed $(SEED)

attack: .venv/tests
	@$(BIN)/python -m tests.campaigns.attacks --seconds $(SECONDS) --seed $(SEED)

bench: .venv/tests
	@$(BIN)/python benchmarks/sizing.py
	@$(BIN)/python benchmarks/drive.py
	@$(BIN)/python -m benchmarks.prove
	@$(BIN)/python -m benchmarks.workbench
	@$(BIN)/python -m benchmarks.trade

.venv/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed; name one with: make PYTHON=python3.12"; exit 1; }
	@$(PYTHON) -m venv .venv || { echo "Python's venv module is missing; on Debian: apt-get install python3-venv"; exit 1; }
	@touch $@

.venv/ready: .venv/python pyproject.toml requirements.txt
	@$(BIN)/python -m $(INSTALL) --require-hashes -r requirements.txt 2>.venv/log || { cat .venv/log; exit 1; }
	@$(BIN)/python -m $(INSTALL) --no-deps --no-build-isolation -e . 2>.venv/log || { cat .venv/log; exit 1; }
	@touch $@

.venv/tests: .venv/python pyproject.toml requirements-test.txt
	@$(BIN)/python -m $(INSTALL) --require-hashes -r requirements-test.txt 2>.venv/log || { cat .venv/log; exit 1; }
	@$(BIN)/python -m $(INSTALL) --no-deps --no-build-isolation -e . 2>.venv/log || { cat .venv/log; exit 1; }
	@touch $@ .venv/ready

.venv/docs: .venv/tests requirements-docs.txt
	@$(BIN)/python -m $(INSTALL) --require-hashes -r requirements-docs.txt 2>.venv/log || { cat .venv/log; exit 1; }
	@touch $@

# The lowest versions that pyproject.toml allows, and another Python with those pinned: what hangs on libraries most.
test-lowest: .venv/python
	@$(PYTHON) -m venv .venv/lowest
	@$(PYTHON) -m builders.pins --lowest > .venv/lowest.txt
	@.venv/lowest/bin/python -m $(INSTALL) -c .venv/lowest.txt -e '.[test]' 2>.venv/log || { cat .venv/log; exit 1; }
	@.venv/lowest/bin/pytest -n auto -W default::DeprecationWarning $(PLAIN)

test-other: .venv/python
	@$(OTHER) -m venv .venv/other
	@.venv/other/bin/python -m $(INSTALL) --require-hashes -r requirements-test.txt 2>.venv/log || { cat .venv/log; exit 1; }
	@.venv/other/bin/python -m $(INSTALL) --no-deps --no-build-isolation -e . 2>.venv/log || { cat .venv/log; exit 1; }
	@.venv/other/bin/pytest -n auto $(PLAIN)

# The drive for a graphics processor: compiled, and run where there is one.
test-gpu: .venv/python
	@$(PYTHON) -m venv .venv/gpu
	@.venv/gpu/bin/python -m $(INSTALL) --require-hashes -r requirements-test.txt 2>.venv/log || { cat .venv/log; exit 1; }
	@.venv/gpu/bin/python -m $(INSTALL) --no-build-isolation -e '.[gpu]' 2>.venv/log || { cat .venv/log; exit 1; }
	@.venv/gpu/bin/pytest tests/motion/test_device.py

# The pins, renewed: the newest versions that pyproject.toml allows, with the hash of every file.
pins:
	@$(PYTHON) -m venv .venv/pins
	@.venv/pins/bin/python -m $(INSTALL) pip-tools
	@.venv/pins/bin/python -m builders.pins

clean:
	@rm -rf .venv out build .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
