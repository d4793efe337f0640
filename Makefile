# The one door: what a person types here is what the automatic check runs.

GO ?= go
BIN := bin/wetfeet
FUZZTIME ?= 20s
# The arithmetic: packages that build and are tested without C.
PURE := ./terrain ./terrain/contour/... ./terrain/earthwork/... ./terrain/field/... ./terrain/quantity/... \
	./terrain/survey/... ./terrain/triangle/... ./hydro/... ./species/...

.PHONY: all setup build demo test check lint race pure bench fuzz browser calibrate golden clean

all: check

setup: # the raster library and a C++ compiler, from the system's own packages
	@sh .ci/setup

build: setup
	$(GO) build -o $(BIN) ./cmd/wetfeet

demo: build # the invented orchard: a table of flagged trees, a map, a page
	$(BIN) assess testdata/heron-bend/heron-bend.toml -o demo-out --force

test: setup pure # every test, each once
	$(GO) test ./terrain/raster/... ./cmd/...

lint:
	@test -z "$$(gofmt -l .)" || { echo "gofmt would change:"; gofmt -l .; exit 1; }
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

pure: # the arithmetic, built and tested without C
	CGO_ENABLED=0 $(GO) test $(PURE)

check: setup lint test # what every change must pass

race: setup # the packages without C, watched for two hands on one value
	$(GO) test -race -short $(PURE)

bench: setup # compare two of these with benchstat
	$(GO) test ./... -run='^$$' -bench=. -benchmem

fuzz: setup # every fuzz target for FUZZTIME
	@sh .ci/fuzz $(FUZZTIME)

browser: build # the page in a real browser, headless (needs chromium)
	@sh .ci/browser
	$(GO) test -count=1 -timeout 30m -tags browser -run Page ./cmd/wetfeet

calibrate: setup # the odds against 1,920 made sites: the table and the diagram that the README shows
	$(GO) run ./cmd/calibrate cmd/internal/calibration/result
	git diff --stat cmd/internal/calibration/result

golden: # rewrite expected output, then read the diff before committing it
	$(GO) test ./species ./cmd/internal/geopackage -update
	$(GO) test ./cmd/wetfeet -run TestReadmeShowsTheDemo -update
	git diff --stat

clean:
	rm -rf bin demo-out wetfeet-out
