# Slotleaf: set up, run, check. `make` alone lists what there is.
# PYTHON=python3.12 chooses the interpreter; ARGS="..." is passed on to run and test.

ifeq ($(OS),Windows_NT)
BIN := .venv/Scripts
else
BIN := .venv/bin
endif
PY := $(BIN)/python
export PYTHON

.PHONY: help setup run test check format bench pictures lock hook clean

help:
	@echo "make run       set up, then open the demo collection (without a display: pictures in out/)"
	@echo "make test      set up, then the whole test suite"
	@echo "make check     set up, then format, lint, types, import layers"
	@echo "make setup     only the set-up: .venv with the locked libraries"
	@echo "make format    put the code into its format"
	@echo "make bench     the measurements of speed, one by one"
	@echo "make pictures  contact sheets of the window and the paper, in out/"
	@echo "make lock      work out constraints.txt anew from pyproject.toml"
	@echo "make hook      run make check before every commit"
	@echo "make clean     remove .venv, out and caches"

setup:
	@.setup/setup

run: setup
	@$(PY) -m gui --start-demo $(ARGS)

test: setup
	$(PY) -m pytest -n 2 $(ARGS)

check: setup
	$(PY) -m ruff format --check .
	$(PY) -m ruff check .
	$(PY) -m mypy
	$(BIN)/lint-imports

format: setup
	$(PY) -m ruff check --fix .
	$(PY) -m ruff format .

# All of them run, each alone, on the same generated collections; make fails at the end if one did.
bench: setup
	@failed=; folder=$$(mktemp -d); for file in tests/bench/bench_*.py; do \
		name=$$(basename "$$file" .py); words=; [ $$name != bench_leaf ] || words=all; \
		echo "== $$name"; SLOTLEAF_BENCH_FOLDER="$$folder" \
		$(PY) -m "tests.bench.$$name" $$words || failed="$$failed $$name"; \
	done; rm -rf "$$folder"; [ -z "$$failed" ] || { echo "Failed:$$failed"; exit 1; }

pictures: setup
	@$(PY) -m tests.pictures $(ARGS)
	@$(PY) -m tests.pictures_cards out/pictures/cards
	@$(PY) -m tests.pictures_designer_run

# Needs an environment that stands; UPGRADE="--upgrade" takes the newest versions in range.
lock: setup
	$(PY) -m uv pip compile pyproject.toml --group dev --group build --universal --generate-hashes \
		--python-version 3.11 --no-header --no-emit-index-url --no-emit-find-links $(UPGRADE) \
		--quiet --output-file constraints.txt

hook:
	git config core.hooksPath .setup/hooks

clean:
	rm -rf .venv out build dist .mypy_cache .pytest_cache .ruff_cache .import_linter_cache .hypothesis
