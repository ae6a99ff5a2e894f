# `make help` lists what can be made.
PYTHON ?= python3
PORT ?= 8000
VENV := .venv
BIN := $(VENV)/bin
SHELL := /bin/bash

.DEFAULT_GOAL := help
.PHONY: help run test check browser bench bom-score demo-reset lock vendor wheel clean

help: ## list the targets
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

# The virtual environment follows the lock files: a changed lock makes a fresh environment. The locks hold everything
# that is needed, so nothing is resolved again: older pips, asked for an extra, would take a newer release than locked.
INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --no-deps

$(VENV)/runtime.stamp: requirements.lock
	rm -rf $(VENV)
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Python 3.11 or newer is needed")'
	$(PYTHON) -m venv $(VENV)
	$(INSTALL) -r requirements.lock
	touch $@

$(VENV)/dev.stamp: $(VENV)/runtime.stamp requirements-dev.lock
	$(INSTALL) -r requirements-dev.lock
	$(BIN)/python -m pip check
	touch $@

run: $(VENV)/runtime.stamp ## migrate the database, load the demo if it is empty, serve on http://127.0.0.1:8000
	$(BIN)/python -m webapp serve --port $(PORT) --demo

test: check browser ## everything: lint, types, layers, unit and browser tests

check: $(VENV)/dev.stamp ## fast: lint, types, layers and unit tests
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -m pytest -q -n auto -m "not browser"

browser: $(VENV)/dev.stamp ## browser tests in headless Chromium (installed where apt and root are at hand)
	scripts/chromium.sh
	$(BIN)/python -m pytest -q -m browser

bench: $(VENV)/dev.stamp ## ratios: reading a BOM beside the bare reader, growth with size
	$(BIN)/python -m benchmarks

bom-score: $(VENV)/dev.stamp ## grade `bom read` against INDEX.csv and truth_lines.csv in DIR
	@test -n "$(DIR)" || { echo 'bom-score: say DIR=folder, one with INDEX.csv, truth_lines.csv and the files they name' >&2; exit 2; }
	$(BIN)/python -m benchmarks.bom_score "$(DIR)"

demo-reset: $(VENV)/runtime.stamp ## throw the local database away and load the demo again
	$(BIN)/python -m webapp demo reset --yes

lock: $(VENV)/dev.stamp ## resolve the pinned dependencies anew into the two lock files
	$(BIN)/uv pip compile --quiet pyproject.toml --universal --python-version 3.11 --generate-hashes \
	  --no-emit-index-url --no-header --upgrade -o requirements.lock
	$(BIN)/uv pip compile --quiet pyproject.toml --extra dev --universal --python-version 3.11 --generate-hashes \
	  --no-emit-index-url --no-header --upgrade -c requirements.lock -o requirements-dev.lock

vendor: ## refresh the vendored browser files from the npm client (versions in static/vendor/VENDOR.txt)
	scripts/vendor.sh

wheel: $(VENV)/dev.stamp ## build the wheel into dist/
	$(BIN)/python -m build --wheel --no-isolation --outdir dist .

clean: ## remove the environment and caches (never the data in var/)
	rm -rf $(VENV) dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
