# The two that a newcomer needs: make demo, make test.
.PHONY: services services-stop
VENV := .venv/bin/python
NAME ?= dev

# Private PostgreSQL and Redis for a developer: eval "$$(make -s services)"
services:
	@$(VENV) -m tools.services env $(NAME)

services-stop:
	@$(VENV) -m tools.services stop $(NAME)
