# make demo   the main job on the demo plant: drops, findings, pictures
# make test   the whole test suite
# Both set themselves up in .venv; all they need is Python 3.11 or newer and make.

PYTHON ?= python3
VENV ?= .venv
# What to install: the checkout itself (editable), or a wheel, as CI does.
INSTALL ?=
BIN = $(VENV)/bin
PIP = $(BIN)/python -m pip --disable-pip-version-check -q

.PHONY: demo test lint bench clean

demo: $(VENV)/.demo
	$(BIN)/python shared/demo.py

test: $(VENV)/.test
	$(BIN)/pytest -n auto ./tests --pyargs rasterc

lint: $(VENV)/.test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/.test
	$(BIN)/python tests/benchmarks/run.py

$(VENV)/bin/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo 'rasterc needs Python 3.11 or newer: make PYTHON=python3.12 ...'; exit 1; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/.demo: pyproject.toml $(VENV)/bin/python
	$(PIP) install $(if $(INSTALL),"$(INSTALL)",-e .)
	@touch $@

$(VENV)/.test: pyproject.toml $(VENV)/bin/python
	$(PIP) install $(if $(INSTALL),"$(INSTALL)[test]",-e ".[test]")
	@touch $@

clean:
	rm -rf .venv build dist
