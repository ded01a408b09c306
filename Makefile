# Two commands do all the set-up on a fresh machine: make demo, make test.
SHELL := /bin/sh
VENV := .venv
PY := $(VENV)/bin/python
STAMP := $(VENV)/.installed
# One worker a core, four at most: each loads the speech model. Files stay whole, since fixtures are costly.
PARALLEL ?= -n auto --maxprocesses 4 --dist loadfile

.PHONY: help demo test test-all cover check format bench wheel clean setup
help:
	@echo "make demo      set up and run one demo session from recorded voice"
	@echo "make test      set up and run the tests (under five minutes)"
	@echo "make test-all  the tests and the long sweeps"
	@echo "make cover     the tests, with lines and branches covered room by room"
	@echo "make check     format, lint, types, import direction, nothing that only tests reach"
	@echo "make bench     benchmarks, printed as ratios"
	@echo "make wheel     build a wheel into dist/"

$(STAMP): pyproject.toml constraints.txt .ci/environment.sh
	@sh .ci/environment.sh $(VENV)
	@touch $@

setup: $(STAMP)
	@$(PY) -m assistant setup --model-only

demo: $(STAMP)
	@$(PY) -m assistant demo

test: setup
	@$(PY) -m tests.machine
	@$(PY) -m pytest -q $(PARALLEL)

test-all: setup
	@$(PY) -m tests.machine
	@$(PY) -m pytest -q $(PARALLEL) -m "not bench"

cover: setup
	@$(PY) -m pytest -q $(PARALLEL) --cov --cov-report=
	@$(PY) -m tests.tools.coverage_by_room

check: $(STAMP)
	@$(PY) -m ruff format --check .
	@$(PY) -m ruff check .
	@$(PY) -m mypy
	@$(VENV)/bin/lint-imports --no-logo
	@$(PY) -m tests.tools.reach
	@$(PY) -m pytest -q tests/test_pure_core.py

format: $(STAMP)
	@$(PY) -m ruff format .
	@$(PY) -m ruff check --fix .

bench: setup
	@$(PY) -m pytest -q -s -m bench tests/bench

wheel: $(STAMP)
	@$(PY) -m build --wheel --outdir dist .

clean:
	rm -rf $(VENV) dist build .pytest_cache .mypy_cache .ruff_cache
