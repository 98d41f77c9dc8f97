# One word for each thing people do here; `make` alone lists them.
# Everything is kept in .venv and var; nothing here asks for root or calls sudo.

PORT ?= 8000
BIN = .venv/bin
PIP = $(BIN)/python -m pip --disable-pip-version-check install --quiet --require-hashes
MANAGE = $(BIN)/python manage.py
# The demo keeps to its own file, whatever the shell says about another database.
OWN = env -u DATABASE_URL

.DEFAULT_GOAL := help
.PHONY: help setup demo test check bench pictures journeys serve coverage lock clean
.PHONY: ready-demo ready-test ready-check

help: ## this list
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "%-10s %s\n", $$1, $$2 }' Makefile

setup: ready-demo ## the environment in .venv, for a society of your own

demo: ready-demo ## a living society on 127.0.0.1, with sign-ins printed (PORT=8000)
	@exec $(OWN) MISSING="$$(python3 .ci/machine.py lacking pdf)" $(MANAGE) demo --port $(PORT)

test: ready-test ## the tests, in a browser too where Chromium is found (ARGS= for pytest)
	@$(BIN)/python -m pytest $(ARGS)
	@python3 .ci/machine.py lacking pdf pdftotext browser

check: ready-check ## form, types, import contracts, templates, settings, migrations, links
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	git ls-files 'templates/*.html' | xargs $(BIN)/djade --target-version 5.2 --check
	$(BIN)/djlint --lint --quiet templates
	$(MANAGE) check --fail-level WARNING
	HTTPS=1 $(MANAGE) check --deploy --fail-level WARNING
	$(MANAGE) makemigrations --check --dry-run
	$(BIN)/python .ci/links

bench: ready-check ## how quick it is, as ratios taken in one run
	@$(OWN) $(BIN)/python -m tests.bench

pictures: ready-test ## every page, narrow and wide, light and dark (ARGS=--readme: for README)
	@$(OWN) $(BIN)/python -m tests.pictures $(ARGS)

journeys: ready-test ## only the journeys in a browser
	@TESTS_NEED=browser $(BIN)/python -m pytest tests/browser $(ARGS)

serve: ready-demo ## your own society, from var or DATABASE_URL (PORT=8000)
	@$(MANAGE) migrate --verbosity 0
	@exec $(MANAGE) serve --port $(PORT)

coverage: ready-test ## the tests again, with the lines they reach
	@$(BIN)/python -m pytest --cov --cov-report=term $(ARGS)

lock: ## work the versions out anew (PYTHONS= for the interpreters to ask)
	@.ci/lock $(or $(PYTHONS),python3.11 python3.12 python3.13)

clean: ## remove the environment and what tools left; var, with your data, stays
	rm -rf .venv .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis
	rm -rf htmlcov .coverage .coverage.* pictures journeys
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

# System libraries first, all named at once; then the environment; then the packages.
# A stamp is touched only when pip was content.
ready-demo:
	@python3 .ci/machine.py ready venv pdf
	@$(MAKE) -s --no-print-directory .venv/.runs

ready-test:
	@python3 .ci/machine.py ready venv pdf pdftotext browser
	@$(MAKE) -s --no-print-directory .venv/.tests

ready-check:
	@python3 .ci/machine.py ready venv
	@$(MAKE) -s --no-print-directory .venv/.tests

.venv/.runs: requirements.lock
	@python3 .ci/machine.py environment
	@$(PIP) -r requirements.lock
	@touch $@

.venv/.tests: requirements-dev.lock
	@python3 .ci/machine.py environment
	@$(PIP) -r requirements-dev.lock
	@touch $@
