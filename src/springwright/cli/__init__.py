"""The command line: parse, call, print.

- `first`: The command for a first number, before there is a design file (`rate`).
- `main`: The springwright command (`springwright`, `new`, `schema`, `size` and more).
- `measure`: The commands for a vehicle that stands on its wheels: what to read, what was due, and what explains the
  difference (`readings`, `measure`).
- `options`: Options that several commands share.
- `proof`: The commands that prove a design: its full window, the seven questions, the report (`window`, `prove`,
  `report`).
- `shared`: What the commands share: showing a result, writing a file, reading a slope or a corner (`shown`,
  `written`, `written_part`, `case_of` and more).
- `stopping`: Ctrl-C that is never lost: an extension module that is being loaded may swallow it, or call it a
  failure of its own (`Stopping`).
- `trade`: The commands that help to choose: what is traded for what (`trade`, `sweep`).
"""
