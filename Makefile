# Henyear: a flock planner for small holdings. `make demo` shows it.
#
#   make demo    build, plan the first example, print it, and serve the pages
#   make build   leave the program in bin/
#   make test    install what the tests use, and run them all
#   make lint    check the source text
#   make bench   measure speed
#   make fuzz    feed every reader with nonsense for a short while
#   make torture kill the program a thousand times while it saves records
#   make clean   remove what the other targets made

# Pure Go, so that one command builds for every system.
export CGO_ENABLED = 0

VERSION := $(shell git describe --tags --always --dirty 2>/dev/null)

.PHONY: demo build test lint bench fuzz torture notices clean tools solver test-packages
.DEFAULT_GOAL := build

# PORT=9000 serves on another port; DEMO_SERVE=0 stops after printing the plan.
demo: build
	@exec bin/henyear demo $(if $(PORT),--port $(PORT)) $(if $(filter 0,$(DEMO_SERVE)),--print-only)

build: tools solver
	@go build -trimpath -ldflags "-s -w -X main.version=$(VERSION)" -o bin/ ./cmd/henyear

tools:
	@scripts/check-tools.sh

# The solver comes from npm by version and checksum and is built into the
# program; once it is in its place this needs no network.
solver: tools
	@go mod download github.com/tetratelabs/wazero
	@go run ./scripts/fetch-solver

test: tools test-packages node_modules/.package-lock.json solver
	$(if $(filter true,$(CI)),HENYEAR_CI=1) go test $(if $(filter true,$(CI)),-count=1) ./...

test-packages:
	@scripts/test-packages.sh

node_modules/.package-lock.json: package.json package-lock.json
	npm ci --no-audit --no-fund
	@touch $@

lint: tools solver
	@scripts/lint.sh

bench: tools solver
	go test -run '^$$' -bench . -benchmem ./...

fuzz: tools solver
	@scripts/fuzz.sh

# KILLS=5000 kills it so often.
torture: tools
	HENYEAR_KILLS=$(or $(KILLS),1000) go test -count=1 -v -timeout 60m -run 'IsKilled|SurvivesKills|FiftyPhones|FullDisk|TurnedBit' ./store

# The licences of everything that is built into the program.
notices: tools
	go run ./scripts/notices

clean:
	rm -rf bin node_modules
