# The checks are listed here once; CI runs the same.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DELETE_ON_ERROR:

GOROOT_DIR := $(shell go env GOROOT)
# Build, vet and tests ask for the same packages, so that each is compiled once; only the race detector needs C.
export GOFLAGS := -trimpath
export CGO_ENABLED := 0
# GOAMD64=v1 keeps the compiler from fusing products and sums on amd64.
export GOAMD64 := v1
# go vet has looked at all of it already.
GO_TEST := go test -vet=off
GO_RACE := CGO_ENABLED=1 $(GO_TEST) -race

CORE_SRC := $(shell find sync -name '*.go' -not -name '*_test.go' 2>/dev/null) go.mod
PWA_SRC := $(shell find pwa -path pwa/node_modules -prune -o -path pwa/dist -prune -o -type f \( -name '*.ts' -o -name '*.tsx' -o -name '*.css' -o -name '*.html' -o -name '*.json' -o -name '*.svg' -o -name '*.png' -o -name '*.webmanifest' \) -print 2>/dev/null)

.PHONY: build demo run test check lint vuln kills mutants deps go-test go-vet core-wasm-test core-arm64-test pwa-test e2e proof sim sim-long bench replay pictures fuzz clean

build: bin/witnessmark ## bin/witnessmark with the phone app inside

bin/witnessmark: server/web/dist/index.html $(shell find server sync schema testdata/demo -path server/web/dist -prune -o -type f -print 2>/dev/null) go.mod
	@mkdir -p bin
	go build -ldflags="-s -w" -o $@ ./server

# Not inlining in our own packages makes the core a seventh smaller and no slower.
CORE_FLAGS := -gcflags=witnessmark/...=-l

pwa/core/core.wasm: $(CORE_SRC)
	@mkdir -p pwa/core
	GOOS=js GOARCH=wasm go build $(CORE_FLAGS) -ldflags="-s -w" -o $@ ./sync/wasm
	cp $(GOROOT_DIR)/lib/wasm/wasm_exec.js pwa/core/wasm_exec.js

pwa/node_modules/.ok: pwa/package-lock.json pwa/package.json
	cd pwa && npm ci --no-audit --no-fund --loglevel=error
	@touch $@

server/web/dist/index.html: pwa/core/core.wasm pwa/node_modules/.ok $(PWA_SRC)
	cd pwa && npm run build --silent
	find server/web/dist -mindepth 1 -not -name README -delete
	cp -r pwa/dist/. server/web/dist/

demo: build ## the invented workshop, served on this machine; prints three links
	bin/witnessmark demo

run: build ## an empty workshop in ./data
	bin/witnessmark serve -data data -addr 127.0.0.1:8080

deps:
	.ci/deps

test: deps check go-test core-wasm-test core-arm64-test pwa-test proof kills sim e2e ## everything CI runs
	@echo "make test: all checks passed"

check: go-vet ## formatting, vet, modules as they were summed
	go mod verify
	@out=$$(gofmt -l server sync schema testdata); [ -z "$$out" ] || { echo "gofmt wants: $$out"; exit 1; }

go-vet: server/web/dist/index.html
	go vet ./...
	GOOS=js GOARCH=wasm go vet ./sync/...

lint: ## staticcheck; it is fetched and built first, which takes longer than all other checks together, so run it before a release
	go run honnef.co/go/tools/cmd/staticcheck@v0.8.2 ./...

vuln: ## known weaknesses of what is built in; needs the network, so CI does not run it
	go run golang.org/x/vuln/cmd/govulncheck@v1.1.4 ./...
	cd pwa && npm audit --omit=dev

# The core and the two that only write files from a record start no goroutine: there is nothing in them for the race
# detector, which takes twice the time. A simulated life is one thread, and four times as slow under it: there lives that run
# beside one another are watched, TestScenarios.
ALONE = witnessmark/sync/|witnessmark/server/(recordbook|numbers|sim)$$
# The verbs that only read and write files, and the book's paper, are a quarter of the server's tests under it and alone too.
FILES = ^Test(Book|Numbers|Export|Import)
go-test: server/web/dist/index.html
	$(GO_RACE) $$(go list ./... | grep -vE '$(ALONE)') -skip '$(FILES)'
	$(GO_TEST) $$(go list ./server/... | grep -vE '$(ALONE)') -run '$(FILES)'
	$(GO_RACE) ./server/sim -run '^TestScenarios$$'
	$(GO_TEST) $$(go list ./... | grep -E '$(ALONE)')

core-wasm-test: ## the core's tests as WebAssembly under Node
	PATH="$(GOROOT_DIR)/lib/wasm:$$PATH" GOOS=js GOARCH=wasm $(GO_TEST) $$(go list ./sync/... | grep -v sync/wasm)

core-arm64-test: ## the vectors as arm64 under qemu
	mkdir -p .cache
	for p in quantity calc result; do \
	  GOARCH=arm64 $(GO_TEST) -c -o .cache/$$p.arm64.test ./sync/$$p; \
	  (cd sync/$$p && qemu-aarch64 ../../.cache/$$p.arm64.test -test.run 'Vector'); \
	done

pwa-test: pwa/node_modules/.ok
	cd pwa && npm test --silent

kills: build ## the built server killed at 50 moments under load, on both stores; PostgreSQL's connections cut, its disk full
	WITNESSMARK_TEST_BINARY=$(CURDIR)/bin/witnessmark .ci/with-postgres $(GO_TEST) ./server -run '^(TestKill|TestDatabaseCut|TestFullDisk)$$' -count=1 -v | grep -v '^=== '

mutants: build pwa/node_modules/.ok ## the code broken in each way of server/mutants.txt, in a copy: the test named there has to fail; ONLY=T13,T22; over an hour
	WITNESSMARK_MUTANTS=$(or $(ONLY),all) go test ./server -run '^TestMutants$$' -count=1 -timeout 6h

proof: build ## three phones, a bad network, one answer
	bin/witnessmark demo -check

# Measured on two cores that others used too: 200 histories on SQLite 23 s (51 s with /tmp on a disk), 20 fresh ones 2 s, 15
# on PostgreSQL 7 s; all of it 65 s in a worse minute. SQLite has its real settings; /dev/shm only spares the waiting.
SIM_TMP := $(shell [ -w /dev/shm ] && echo /dev/shm || echo $${TMPDIR:-/tmp})
FRESH = $$(od -An -N4 -tu4 /dev/urandom | tr -d ' ')

sim: build ## seeded lives of phones, network and server: 200 fixed ones, 20 fresh ones, some on PostgreSQL
	TMPDIR=$(SIM_TMP) bin/witnessmark sim -seed 1 -seeds 200 -steps 500
	TMPDIR=$(SIM_TMP) bin/witnessmark sim -seed $(FRESH) -seeds 20 -steps 500
	.ci/with-postgres .ci/sim-postgres -seed 1 -seeds 15 -steps 500

sim-long: build ## thousands of fresh ones; SEEDS=n
	TMPDIR=$(SIM_TMP) bin/witnessmark sim -seed $(FRESH) -seeds $(or $(SEEDS),5000) -steps 500
	.ci/with-postgres .ci/sim-postgres -seed $(FRESH) -seeds 200 -steps 500

e2e: build pwa/node_modules/.ok ## real browser, real server; ONLY=main runs one area
	node pwa/e2e/run.mjs $(ONLY)

pictures: e2e ## the README's pictures, from the browser spec
	mkdir -p pwa/pictures
	for f in engine-390-day point-390-pit gasket-390-day today-390-day results-1280-day; do cp pwa/e2e/out/$$f.png pwa/pictures/; done

bench: build pwa/node_modules/.ok ## measurements, each beside a floor of the same run; PART=sqlite|postgres|one|live|many|core|results|today|samples|book|crowd|sockets|kills|page|phone|view runs one
	WITNESSMARK_TEST_BINARY=$(CURDIR)/bin/witnessmark WITNESSMARK_BENCH=$(or $(PART),all) .ci/with-postgres go test ./server -run '^TestBench$$' -count=1 -timeout 2h -v | grep -v '^=== \|^--- \|^PASS'
	WITNESSMARK_BENCH=$(or $(PART),all) node pwa/e2e/bench.mjs

replay: build pwa/node_modules/.ok ## first starts of the scenario typed again through the phone's screens; SPEED=1 is the pace of the bench, RUN="1 2 3"
	SPEED=$(or $(SPEED),20) RUN="$(or $(RUN),1 2)" node pwa/e2e/replay.mjs

fuzz: ## each decoder of outside bytes for FUZZTIME
	for t in sync/jcs:FuzzParse sync/entry:FuzzRead sync/quantity:FuzzParse sync/calc:FuzzRun sync/calc:FuzzCalc sync/calc:FuzzFromJSON sync/pattern:FuzzParse sync/pattern:FuzzFile \
	    server/archive:FuzzOpen server/backup:FuzzOpen server/handin:FuzzRead server/photos:FuzzExamine \
	    server/api:FuzzExchange server/api:FuzzPair; do \
	  go test ./$${t%%:*} -run '^$$' -fuzz "^$${t##*:}$$" -fuzztime $${FUZZTIME:-30s} -fuzzminimizetime 10x; \
	done

clean:
	rm -rf bin .cache pwa/dist pwa/node_modules pwa/core/core.wasm pwa/core/wasm_exec.js
	find server/web/dist -mindepth 1 -not -name README -delete
