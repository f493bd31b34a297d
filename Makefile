# Two commands do everything on a fresh machine with Python 3.11 or later:
#   make demo   set up, then design the example wall and leave its report and drawings in out/demo
#   make test   set up what tests need, then run every check
.PHONY: demo test setup setup-test lint types rules unit docs bench clean help

PYTHON ?= python3
BIN := .venv/bin

help:
	@sed -n '1,3p' Makefile

setup:
	@PYTHON=$(PYTHON) scripts/setup run

setup-test:
	@PYTHON=$(PYTHON) scripts/setup test

demo: setup
	@scripts/demo

test: setup-test
	@$(MAKE) --no-print-directory lint types rules docs unit

lint:
	$(BIN)/ruff check src tests benchmarks docs scripts
	$(BIN)/ruff format --check src tests benchmarks docs

types:
	$(BIN)/mypy

rules:
	$(BIN)/lint-imports

docs:
	$(BIN)/python docs/make_pages.py
	$(BIN)/mkdocs build --strict --quiet

unit:
	$(BIN)/python -m pytest -q -n 2 --dist loadfile

bench:
	$(BIN)/python -m benchmarks

clean:
	rm -rf .venv out site build dist .mypy_cache .ruff_cache .pytest_cache
