# `make demo` and `make test` work on a bare checkout with Python 3.11 or newer; README.md has the same
# steps in plain pip for systems without make.
PYTHON ?= python3
BIN := .venv/bin
OUT := out

.PHONY: demo test lint clean

demo: .venv/.installed
	@mkdir -p $(OUT)
	@$(BIN)/python -m holdtrip.demo sample_tables $(OUT)

test: .venv/.installed-dev
	$(BIN)/python -m pytest -q -n 2 --dist loadfile

lint: .venv/.installed-dev
	$(BIN)/ruff check .
	$(BIN)/mypy

.venv/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "holdtrip needs Python 3.11 or newer: make PYTHON=python3.11")'
	$(PYTHON) -m venv .venv

# Installed in place: a change in the source needs no new installation.
.venv/.installed: pyproject.toml constraints.txt | .venv/bin/python
	$(BIN)/python -m pip install -q --disable-pip-version-check -c constraints.txt setuptools
	$(BIN)/python -m pip install -q --disable-pip-version-check --no-build-isolation -c constraints.txt -e ".[serve]"
	@touch $@

.venv/.installed-dev: .venv/.installed
	$(BIN)/python -m pip install -q --disable-pip-version-check --no-build-isolation -c constraints.txt -e ".[all,dev,samples]"
	@touch $@

clean:
	rm -rf .venv $(OUT)
