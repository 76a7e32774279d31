# The two that a newcomer needs: make demo and make test. `make help` names the rest.
PYTHON ?= python3
ARGS ?=
NAME ?= dev
VENV := .venv/bin/python
START := $(PYTHON) -m tools.bootstrap
export PYTHONPATH :=

.PHONY: help demo run backup restore test bench packages requirements services services-stop clean

help: ## Name the targets
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' Makefile | expand -t 16

demo: ## Start Lineward with an invented team; Ctrl-C stops it
	@$(START) demo

run: ## Start Lineward for real use; its data lies outside this folder
	@$(START) run

backup: ## Write a copy of `make run`'s data beside it
	@$(START) backup

restore: ## Bring a copy back into an empty `make run`: make restore FILE=...
	@$(START) restore "$(FILE)"

test: ## Check style, types and floors and run the tests: make test ARGS="-k sweep"
	@$(START) test $(ARGS)

bench: ## Run the benchmarks on a durable database
	@$(START) bench $(ARGS)

packages: ## Only install what the distribution must bring
	@$(PYTHON) -m tools.packages --tests

requirements: ## Pin both requirements files anew from pyproject.toml
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-header \
	  --no-annotate --no-emit-index-url --no-emit-find-links --extra test \
	  pyproject.toml --output-file requirements.txt
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-header \
	  --no-annotate --no-emit-index-url --no-emit-find-links --constraint requirements.txt \
	  pyproject.toml --output-file deploy/requirements.txt

services: ## Private PostgreSQL and Redis for a developer: eval "$$(make -s services)"
	@$(VENV) -m tools.services env $(NAME)

services-stop: ## Stop them
	@$(VENV) -m tools.services stop $(NAME)

clean: ## Stop and remove the demo's and the tests' data; never that of make run
	@$(PYTHON) -m tools.clean
