# make demo   the main jobs on the demo plants: drops, findings, lists, flights, pictures
# make page   the demo plant in the browser
# make bundle the page's bundle anew, out of its sources (takes node and npm)
# make test   the whole test suite
# All set themselves up in .venv; all they need is Python 3.11 or newer and make.
# make lock   lock files anew, for what pyproject.toml asks now; UPGRADE=1 takes the newest releases
# make pictures  draw the pictures of the README anew; look at them
# make names  freeze the names of months and days anew, from the CLDR of the Babel that is locked

PYTHON ?= python3
VENV ?= .venv
# What to install: the checkout itself (editable), or a wheel, as CI does.
INSTALL ?=
BIN = $(VENV)/bin
PIP = $(BIN)/python -m pip --disable-pip-version-check -q
LOCKED = $(PIP) install --require-hashes --no-deps -r
ITSELF = $(PIP) install --no-deps $(if $(INSTALL),"$(INSTALL)",--no-build-isolation -e .)

.PHONY: demo page bundle test lint bench lock names pictures clean

demo: $(VENV)/.demo
	$(BIN)/python shared/demo.py

page: $(VENV)/.page
	$(BIN)/rasterc page shared

bundle:
	cd rasterc/page/front && npm ci --ignore-scripts --no-audit --no-fund && npm run build

test: $(VENV)/.test
	$(BIN)/pytest -n auto --dist worksteal ./tests --pyargs rasterc

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

$(VENV)/.demo: pyproject.toml grammar/message.lark requirements/demo.lock $(VENV)/bin/python
	$(LOCKED) requirements/demo.lock
	$(ITSELF)
	@touch $@

$(VENV)/.page: pyproject.toml grammar/message.lark requirements/page.lock $(VENV)/bin/python
	$(LOCKED) requirements/page.lock
	$(ITSELF)
	@touch $@ $(VENV)/.demo

$(VENV)/.test: pyproject.toml grammar/message.lark requirements/test.lock $(VENV)/bin/python
	$(LOCKED) requirements/test.lock
	$(ITSELF)
	@touch $@ $(VENV)/.demo

# One lock file for every system and every Python from 3.11 on, with the hash of every file.
COMPILE = .venv-lock/bin/uv pip compile -q --universal --python-version 3.11 --generate-hashes \
	--no-header $(if $(UPGRADE),--upgrade) pyproject.toml --group build

lock:
	$(PYTHON) -m venv .venv-lock
	.venv-lock/bin/python -m pip --disable-pip-version-check -q install 'uv>=0.9'
	$(COMPILE) -o requirements/demo.lock
	$(COMPILE) --extra page -o requirements/page.lock
	$(COMPILE) --extra test -o requirements/test.lock

pictures: $(VENV)/.test
	$(BIN)/python tests/tools/draw_pictures.py

names: $(VENV)/.test
	$(BIN)/python tests/tools/freeze_cldr_names.py

clean:
	rm -rf .venv .venv-lock build dist
