# Everything here sets itself up on a Debian machine that has Go and Node.
export GOFLAGS ?= -buildvcs=false

.PHONY: demo test bench lint films build page clean

# demo makes an invented unit in ./demo and serves it on this machine.
demo: build
	@bin/zonule demo --dir demo --listen 127.0.0.1:8080

# test runs everything; the last line is "N passed, N failed". Narrow it with: make test ONLY="go browser"
test: frontend/node_modules/.package-lock.json
	@.ci/setup test
	@node .ci/test.mjs $(ONLY)

# lint runs the formatters and linters only.
lint: frontend/node_modules/.package-lock.json
	@node .ci/test.mjs gofmt vet staticcheck biome svelte-check

# bench prints the benchmarks of all packages.
bench:
	go test -run '^$$' -bench . -benchmem ./...

# films draws the demo films anew; they are committed.
films:
	@.ci/setup films
	go run ./cmd/zonule demo --remake-films annotate/demo/film/films

# build makes bin/zonule with the page inside.
build: page
	@echo "building the program (the first time takes some minutes)"
	@go build -trimpath -ldflags '-s -w' -o bin/zonule ./cmd/zonule

page: frontend/node_modules/.package-lock.json
	@echo "building the page"
	@cd frontend && npm run --silent build

frontend/node_modules/.package-lock.json: frontend/package-lock.json
	@.ci/setup page
	@echo "installing the page's tools"
	@cd frontend && npm ci --no-audit --no-fund

clean:
	rm -rf bin .cache frontend/node_modules
