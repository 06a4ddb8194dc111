# One word per job; CI uses the same words. `make` alone lists them.
.DEFAULT_GOAL := help
.PHONY: help setup run demo test test-fast lint prove prove-mutants bench messages screenshots

help: ## list the jobs
	@awk -F ':.*## ' '/^[a-z-]+:.*## / {printf "  make %-13s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

setup: ## make .venv with the locked dependencies and see to the libraries that PDFs need
	@.ci/setup

run: ## serve the database at hand with the development server, which reloads what is edited
	@.ci/setup
	@LABCASES_DEBUG=1 .venv/bin/python manage.py runserver 127.0.0.1:$(or $(PORT),8000)

demo: ## fill the demo laboratory, write one work ticket, serve on 127.0.0.1:8000 (PORT=… for another)
	@PORT=$(PORT) .ci/demo

test: ## everything: lint, all tests on SQLite, all that touch a database on PostgreSQL
	@.ci/test

test-fast: ## SQLite only, no browser, no planted faults
	@.ci/setup
	@env -u DATABASE_URL .venv/bin/pytest -q -m "not browser and not full" --ignore=tests/house/test_contracts_bite.py

lint: ## style, types, layers, migrations, deployment settings
	@.ci/lint

messages: ## collect the words that are marked for translation into locale/, and compile what is translated
	@.ci/messages

screenshots: ## take the pictures of docs/ anew, and of every page in both widths and themes into docs/screens/every
	@.ci/setup
	@.venv/bin/python -m tests.tools.screens docs/screens --main
	@.venv/bin/python -m tests.tools.screens docs/screens --three
	@.venv/bin/python -m tests.tools.tutorial docs/tutorial
	@.venv/bin/python -m tests.tools.screens docs/screens/every

prove: ## the long forms of all proofs, on both databases, within an hour; writes docs/proof.md
	@.ci/setup
	@.venv/bin/python -m tests.tools.prove

prove-mutants: ## a planted fault for each proof, in a copy of the tree: each must be noticed
	@.ci/setup
	@.venv/bin/python -m tests.tools.mutants

SIZES ?= 1000,10000,100000
MINUTES ?= 10
ROUNDS ?= 40
bench: ## how fast the site is at up to 100,000 cases, into docs/benchmarks.md; about an hour (SIZES=, MINUTES=, ROUNDS=)
	@.ci/setup
	@.venv/bin/python -m tests.benchmarks.site --sizes $(SIZES) --minutes $(MINUTES) --rounds $(ROUNDS)
