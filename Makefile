# The menu. `make demo` and `make test` set everything up by themselves, on a
# fresh Linux or macOS machine with Python 3.11 or newer.

.PHONY: help demo test check serve bench validation lock clean set-up set-up-test

# The first Python on the path that is new enough; PYTHON=... chooses another.
PYTHON ?= $(shell for p in python3 python3.13 python3.12 python3.11 python3.14 python; do \
	if $$p -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then \
	echo $$p; break; fi; done)
BIN := .venv/bin
WORKERS ?= 2

help:
	@echo "make demo    set up, then match two archers of an invented camp; report and pictures in out/"
	@echo "make test    set up, then every check and every test, a real browser included"
	@echo "make check   style, types and import rules only"
	@echo "make serve   the page, on this machine only, with the demo camp"
	@echo "make bench   launches per second and other times; figures in out/bench.json"
	@echo "make validation  published measurements beside the engine; docs/physics/validation.md"
	@echo "make lock    resolve the requirements anew (for those who change them)"
	@echo "make clean   remove what the others made, the environment included"

set-up:
	@if [ -z "$(PYTHON)" ]; then echo "No Python 3.11 or newer was found on the path. Install one, or run make with PYTHON=/path/to/python3."; exit 1; fi
	@$(PYTHON) tools/set_up.py

set-up-test:
	@if [ -z "$(PYTHON)" ]; then echo "No Python 3.11 or newer was found on the path. Install one, or run make with PYTHON=/path/to/python3."; exit 1; fi
	@$(PYTHON) tools/set_up.py --test

demo: set-up
	$(BIN)/loosewell demo --out out

check: set-up-test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

test: check
	$(BIN)/pytest -n $(WORKERS)

serve: set-up
	$(BIN)/loosewell serve --demo

bench: set-up
	$(BIN)/python benchmarks/run_all.py

validation: set-up
	$(BIN)/python builders/validation.py

# Resolved for every platform and Python 3.11 on, one version of each package; no addresses inside.
LOCKED = $(BIN)/uv pip compile --quiet --upgrade --generate-hashes --no-header --universal \
	--fork-strategy fewest --python-version 3.11 pyproject.toml

lock: set-up-test
	$(LOCKED) -o requirements.lock
	$(LOCKED) --extra test -c requirements.lock -o requirements-test.lock
	$(BIN)/uv pip compile --quiet --upgrade --generate-hashes --no-header --universal \
		--fork-strategy fewest --python-version 3.11 --group bootstrap -o requirements-bootstrap.lock

clean:
	rm -rf .venv out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
	find src tests tools benchmarks -name __pycache__ -type d -prune -exec rm -rf {} + 2>/dev/null || true
