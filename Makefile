# make demo   size the invented fire-watch truck, print the report, write its order sheet to out/
# make open   the same truck on the workbench, in the browser
# make test   run the whole test suite
# make check  lint, types and the import contract
# make fuzz   break files of every kind, and make up vehicles, at random for a minute each, or as long as asked: make fuzz SECONDS=3600 SEED=2
# make kill   kill what writes, at random and before each step on the disk; make attack: attack a served workbench; both likewise
# Each sets up what it needs: Python >= 3.11, make and a package registry are enough.

PYTHON ?= python3
SECONDS ?= 60
SEED ?= 1
BIN := .venv/bin

.PHONY: demo open test check fuzz kill attack bench clean

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

.venv/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed; name one with: make PYTHON=python3.12"; exit 1; }
	@$(PYTHON) -m venv .venv || { echo "Python's venv module is missing; on Debian: apt-get install python3-venv"; exit 1; }
	@touch $@

.venv/ready: .venv/python pyproject.toml constraints.txt
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e . 2>.venv/log || { cat .venv/log; exit 1; }
	@touch $@

.venv/tests: .venv/python pyproject.toml constraints.txt
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[test]' 2>.venv/log || { cat .venv/log; exit 1; }
	@touch $@ .venv/ready

clean:
	@rm -rf .venv out build .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
