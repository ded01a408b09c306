# Two commands do all the set-up on a fresh machine: make demo, make test.
SHELL := /bin/sh
VENV := .venv
PY := $(VENV)/bin/python
# matrices here are small: threads of a linear-algebra library only stand in the other worker's way
export OPENBLAS_NUM_THREADS ?= 1
# images made for one program forbid Python to keep what it compiled: here hundreds of programs start and compile the same
export PYTHONDONTWRITEBYTECODE :=
STAMP := $(VENV)/.installed
# One worker more than cores, four at most: each loads the speech model, and two tests in five wait for something (a
# browser, a voice, a server). How files are handed out: tests/scheduling.py.
WORKERS := $(shell cores=$$(getconf _NPROCESSORS_ONLN 2>/dev/null || echo 1); echo $$((cores < 4 ? cores + 1 : 4)))
PARALLEL ?= -n $(WORKERS) --dist loadfile

.PHONY: help demo test test-all cover check format bench wheel pictures clean setup
help:
	@echo "make demo      set up and run one demo session from recorded voice"
	@echo "make test      set up and run the tests (under five minutes)"
	@echo "make test-all  the tests (those that just passed on this tree are not run twice) and the long sweeps"
	@echo "make cover     the tests, with lines and branches covered room by room"
	@echo "make check     format, lint, types, import direction, nothing that only tests reach"
	@echo "make bench     benchmarks, printed as ratios"
	@echo "make pictures  the pictures of the README, made anew (needs Chromium)"
	@echo "make wheel     build a wheel into dist/"

$(STAMP): pyproject.toml constraints.txt .ci/environment.sh
	@sh .ci/environment.sh $(VENV)
	@touch $@

setup: $(STAMP)
	@$(PY) -m assistant setup --model-only || \
	  { test -z "$$LEADSMAN_STRICT" && echo "Without the speech model: the tests that need it are skipped."; }

demo: $(STAMP)
	@$(PY) -m assistant demo

test: setup
	@$(PY) -m tests.machine
	@$(PY) -m pytest -q $(PARALLEL)
	@$(PY) -m tests.tools.passed --note

# Quick tests that have just passed on this very tree are not run twice; AGAIN=1 runs them all the same.
test-all: setup
	@$(PY) -m tests.machine
	@marks="not bench"; test -n "$(AGAIN)" || marks="$$($(PY) -m tests.tools.passed)" && \
	  $(PY) -m pytest -q $(PARALLEL) -m "$$marks"

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

pictures: $(STAMP)
	@$(PY) -m tests.tools.draw_readme

clean:
	rm -rf $(VENV) dist build .pytest_cache .mypy_cache .ruff_cache
