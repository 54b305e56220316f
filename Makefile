# One command per intent; DEVELOPERS.md lists them.
.DEFAULT_GOAL := help
PYTHON ?= python3
PORT ?= 8123
VENV := .venv
PACKAGES := $(VENV)/.packages
STAMP := $(VENV)/.ready
PIP_FLAGS := --disable-pip-version-check --retries 1 --timeout 15 --no-input
BIN := $(VENV)/bin

.PHONY: help demo serve test check format bench bench-catalogue document lint-document fire storm lock clean

help:  ## list the commands
	@sed -n 's/^\([a-z-]*\):.*## */  make \1\t/p' $(firstword $(MAKEFILE_LIST)) | expand -t 24

# Built under a temporary name and renamed last, so that an interrupted set-up leaves nothing half-made.
$(PACKAGES): requirements.txt
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Corewright needs Python 3.11 or newer; $(PYTHON) is older."; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || { echo "Python's venv module is missing. On Debian: apt install python3-venv"; exit 1; }
	@rm -rf $(VENV) $(VENV).part
	@echo "[1/3] building the environment in $(VENV)/ (first run only)"
	@$(PYTHON) -m venv $(VENV).part
	@mv $(VENV).part $(VENV)
	@echo "[2/3] installing pinned packages, hashes checked (some 200 MB; one to two minutes)"
	@$(BIN)/python -m pip install $(PIP_FLAGS) --quiet --progress-bar off --require-hashes -r requirements.txt || { echo "The packages could not be installed: is this machine offline, or its package index unreachable? Run the command again when it is back."; rm -rf $(VENV); exit 1; }
	@touch $(PACKAGES)

$(STAMP): $(PACKAGES) pyproject.toml
	@echo "[3/3] installing corewright itself"
	@$(BIN)/python -m pip install $(PIP_FLAGS) --quiet --no-deps --no-build-isolation -e .
	@touch $(STAMP)

demo: $(STAMP)  ## build everything, load the invented scenario, print a decision
	@$(BIN)/corewright demo

serve: $(STAMP)  ## leave a server running: make serve PORT=8123 [DATABASE_URL=...]
	@$(BIN)/corewright migrate
	@exec $(BIN)/corewright serve --port $(PORT)

test: $(STAMP)  ## run the tests
	@$(BIN)/python -m pytest -q

check: $(STAMP)  ## lint, format, types, import contracts
	@$(BIN)/ruff check . && $(BIN)/ruff format --check . && $(BIN)/mypy && $(BIN)/lint-imports

format: $(STAMP)  ## format the code
	@$(BIN)/ruff check --fix-only --quiet . ; $(BIN)/ruff format .

bench: $(STAMP)  ## speed of service and planner, as ratios to a reference of the same run
	@$(BIN)/python -m tests.bench

bench-catalogue: $(STAMP)  ## look-ups in catalogues of 10,000 to 1,000,000 parts (half an hour, 7 GB)
	@$(BIN)/python -m tests.bench catalogue

document: $(STAMP)  ## write api/openapi.json again
	@WRITE_EXAMPLES=1 $(BIN)/python -m pytest -q tests/api/test_examples.py
	@$(BIN)/python -m api.document

lint-document:  ## lint the API document, make clients from it (needs node)
	@.ci/lint-document

fire: $(STAMP)  ## kill the server a thousand times during writes (a quarter of an hour)
	@$(BIN)/python -m tests.fire --kills 1000

storm: $(STAMP)  ## bad and random requests in large numbers
	@$(BIN)/python -m tests.storm --large

lock:  ## write requirements.txt again from pyproject.toml (needs uv)
	uv pip compile pyproject.toml --extra dev --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --no-annotate --no-header --quiet -o requirements.txt

clean:  ## remove the environment and the demo data
	rm -rf $(VENV) $(VENV).part var
