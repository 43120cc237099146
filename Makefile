# The commands of the course. People, the README and .ci/run use the same ones.
PYTHON ?= python3
BIN := .venv/bin

.PHONY: help course test long book pdf exercises class lint clean

help:            ## list these commands
	@grep -E '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

course: .venv/installed   ## build the book, make the exercises, grade the demo class, show its report
	$(BIN)/bandwork course

test: .venv/tested lint   ## run every check but the long ones
	$(BIN)/pytest -n auto --dist loadfile -m "not long"

long: .venv/tested        ## play every slip and a whole term through nbgrader
	$(BIN)/pytest -n auto --dist loadfile -m long

book: .venv/installed     ## build the book into book/_build/html
	$(BIN)/bandwork book

pdf: .venv/installed      ## print the whole book into book/_build/pdf/bandwork.pdf
	$(BIN)/bandwork pdf

exercises: .venv/installed  ## make exercises/ from solutions/
	$(BIN)/bandwork exercises

class: .venv/installed    ## grade the demo class and write its report
	$(BIN)/bandwork demo

lint: .venv/tested        ## style, spelling and types
	$(BIN)/ruff check .
	$(BIN)/codespell
	$(BIN)/mypy

clean:                    ## remove everything that was built
	rm -rf .venv .course book/_build book/_drawn .pytest_cache .mypy_cache .ruff_cache

.venv/installed: requirements.txt pyproject.toml
	$(PYTHON) -m venv .venv
	$(BIN)/pip install --quiet --disable-pip-version-check -r requirements.txt
	touch $@

.venv/tested: .venv/installed
	$(BIN)/pip install --quiet --disable-pip-version-check -e '.[test]'
	touch $@
