# Two commands do everything: `make demo` and `make test`. Both install what they need into .venv first.
PYTHON ?= python3
PORT ?= 8000
WORKERS ?= 2
VENV := .venv
BIN := $(VENV)/bin
DEMO_DIR := var/demo
NPM := $(shell node -e 'const [a, b] = process.versions.node.split("."); process.exit(a * 100 + +b < 2019 ? 1 : 0)' 2>/dev/null && command -v npm)
TEST_ENV = SECRET_KEY=$${SECRET_KEY:-only-for-tests-only-for-tests-only-for-tests-only-for-tests} DATA_DIR=$${DATA_DIR:-var/test} DEBUG=false
DEMO_ENV = DEMO=true DATA_DIR=$(DEMO_DIR) SECRET_KEY_FILE=$(DEMO_DIR)/secret_key PUBLIC_URL=http://localhost:$(PORT) PORT=$(PORT)

# Says which package of how many it is at; without pipefail a failed install would pass for a good one.
pip_install = @bash -o pipefail -c '$(BIN)/python -m pip install --disable-pip-version-check --progress-bar off --require-hashes -r $(1) \
	| awk -v all=$$(grep -cE "^[A-Za-z0-9].*==" $(1)) "/^(Collecting|Processing|Requirement|Ignoring)/ { n++ } /^(Collecting|Processing)/ { sub(/.*\//, \"\", \$$2); printf \"  %d of %d: %s\n\", n, all, \$$2 } /^Installing/ { print \"  Unpacking ...\" } { fflush() }"'

.PHONY: install demo test lint script-test script-lint bench migrations clean help

help:
	@echo "make demo     install, build the demo workshop, serve it at http://localhost:$(PORT)"
	@echo "make install  only install what the workshop needs, into $(VENV)"
	@echo "make test     install and run every test"
	@echo "make lint     style, types, scripts, migrations, deployment check"
	@echo "make bench    speed, as ratios to something in the same run"
	@echo "make clean    throw away the environment and the demo workshop"

$(VENV)/made:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed; $(PYTHON) is $$($(PYTHON) --version). Say which one: make PYTHON=python3.12 $(MAKECMDGOALS)"; exit 1; }
	@echo "Making the environment in $(VENV) ..."
	@$(PYTHON) -m venv $(VENV) || { echo "Python's venv module is missing (on Debian: the package python3-venv)."; exit 1; }
	@touch $@

$(VENV)/runtime: $(VENV)/made requirements.lock
	@echo "Installing what the workshop needs (about 600 MB, a minute or two) ..."
	$(call pip_install,requirements.lock)
	@touch $@

node_modules/made: package.json package-lock.json
	@echo "Installing what the scripts are linted and packed with (about 30 MB) ..."
	@npm ci --loglevel=error
	@touch $@

$(VENV)/tests: $(VENV)/made requirements-test.lock
	@echo "Installing what the tests need (about 1 GB, a minute or two) ..."
	$(call pip_install,requirements-test.lock)
	@touch $@ $(VENV)/runtime

install: $(VENV)/runtime

demo: $(VENV)/runtime
	@mkdir -p $(DEMO_DIR)
	@test -s $(DEMO_DIR)/secret_key || (umask 077; $(BIN)/python -c 'import secrets; print(secrets.token_urlsafe(60))' > $(DEMO_DIR)/secret_key)
	@echo "Preparing the database ..."
	@$(DEMO_ENV) $(BIN)/python manage.py migrate --verbosity 0
	@$(DEMO_ENV) $(BIN)/python manage.py load_demo --if-empty
	@echo "Collecting the style sheets ..."
	@$(DEMO_ENV) $(BIN)/python manage.py collectstatic --noinput --verbosity 0
	@$(DEMO_ENV) $(BIN)/gunicorn --config python:shop.serving shop.wsgi

# The app itself needs no node. SCRIPT_TESTS=required, as in CI, fails where it is missing.
define without-node
	@echo "$(1): there is no node and npm here (20.19 or newer)."; test "$$SCRIPT_TESTS" != required
endef

script-test:
ifdef NPM
	npm test --silent
else
	$(call without-node,The tests of the phone's script are left out)
endif

ifdef NPM
script-lint: node_modules/made
	npm run --silent lint
else
script-lint:
	$(call without-node,The scripts are not linted)
endif

test: $(VENV)/tests script-test
	@mkdir -p $${DATA_DIR:-var/test}
	$(TEST_ENV) $(BIN)/python -m pytest -n $(WORKERS) $(ARGS)

lint: $(VENV)/tests script-lint
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/djangofmt --check templates
	$(TEST_ENV) $(BIN)/mypy
	$(TEST_ENV) $(BIN)/python manage.py makemigrations --check --dry-run
	$(TEST_ENV) PUBLIC_URL=https://workshop.example $(BIN)/python manage.py check --deploy --fail-level WARNING

bench: $(VENV)/tests
	$(TEST_ENV) DJANGO_SETTINGS_MODULE=shop.settings $(BIN)/python -m tests.bench $(ARGS)

clean:
	rm -rf $(VENV) $(DEMO_DIR) .static node_modules
