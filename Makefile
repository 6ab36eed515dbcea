# Needs make and Python 3.11 or newer; everything else is fetched into .venv once.
# Another interpreter: make demo PYTHON=/path/to/python3.12

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check

.DEFAULT_GOAL := help
.PHONY: help demo test lint docs check benchmark constraints clean

help:
	@echo "make demo       set up .venv and run a worked example"
	@echo "make test       run the test suite"
	@echo "make lint       style, types and import layers"
	@echo "make docs       build the documentation into docs/_build/html"
	@echo "make check      lint, test and docs: what must pass before a change goes in"
	@echo "make benchmark  run the timings"
	@echo "make clean      remove .venv and what was built"

demo: $(VENV)/.runtime
	$(BIN)/strandwright demo

test: $(VENV)/.dev
	$(BIN)/python -m pytest -n auto --dist loadscope --no-loadscope-reorder $(ARGS)

lint: $(VENV)/.dev
	$(BIN)/ruff check .
	$(BIN)/pyright --pythonpath $(BIN)/python
	$(BIN)/lint-imports

docs: $(VENV)/.dev
	$(BIN)/python -m sphinx -W --keep-going -q -b html docs docs/_build/html
	@echo "docs/_build/html/index.html"

check: lint test docs

benchmark: $(VENV)/.dev
	$(BIN)/python -m pytest -s -q tests/benchmark $(ARGS)

# Needs uv. Run after any change of a dependency in pyproject.toml.
constraints:
	uv pip compile pyproject.toml --group dev --universal --no-header --no-annotate \
	  --python-version 3.11 -o constraints.txt

clean:
	rm -rf $(VENV) build dist docs/_build docs/reference/api

# --- the environment; the stamps make a second run start at once ---

$(VENV)/.made:
	@found=""; for candidate in "$(PYTHON)" python3 python3.14 python3.13 python3.12 python3.11; do \
	  "$$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null \
	    && { found="$$candidate"; break; }; \
	done; \
	if [ -z "$$found" ]; then \
	  echo "strandwright needs Python 3.11 or newer and found none." >&2; \
	  echo "Install one, or name it: make PYTHON=/path/to/python3.12 $(MAKECMDGOALS)" >&2; \
	  exit 1; \
	fi; \
	"$$found" -m venv $(VENV) || { \
	  echo "$$found cannot make a virtual environment." >&2; \
	  echo "On Debian and Ubuntu install the package python3-venv, then try again." >&2; \
	  rm -rf $(VENV); exit 1; \
	}
	$(PIP) install --quiet --upgrade pip
	@touch $@

$(VENV)/.runtime: $(VENV)/.made pyproject.toml constraints.txt
	$(PIP) install --quiet -c constraints.txt -e '.[fast]'
	@touch $@

$(VENV)/.dev: $(VENV)/.made pyproject.toml constraints.txt
	$(PIP) install --quiet -c constraints.txt -e '.[fast]' --group dev
	@touch $(VENV)/.runtime $@
