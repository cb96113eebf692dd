# Everything that is run by hand or by the build server. Each target is one or two plain go commands,
# printed as they run.

GO      ?= go
PACKAGES = ./... ./testdata/demoboards/... ./testdata/manyrecipes/...
RECIPES  = $(sort $(wildcard recipes/*.panel.hcl))
OUT     ?= build
READERS  = pipeline/format pipeline/panel pipeline/recipe stages/board
RELEASES = linux/amd64 linux/arm64 darwin/arm64 windows/amd64

.PHONY: help demo boards test lint bench bench-outside bench-night bench-solver fuzz fuzz-readers planted planted-all arm64 golden verification install release release-check clean

help: ## what there is to make
	@awk -F ':.*## ' '/^[a-z0-9-]+:.*## / { printf "make %-13s %s\n", $$1, $$2 }' Makefile

demo: boards ## generate the demo boards and build every recipe in recipes/ into build/
	$(GO) build -buildvcs=false -o bin/panelwright ./cmd/panelwright
	bin/panelwright build -o $(OUT) $(RECIPES)
	@echo
	@echo "The panels are here; open report/index.html of each in a browser, and drawing/panel.pdf:"
	@for r in $(RECIPES); do \
	    name=$$(sed -n 's/^panel "\([^"]*\)".*/\1/p' $$r); \
	    found=$$(find $(OUT)/$$name -name index.html 2>/dev/null | sort); \
	    test -n "$$found" || { echo "  $$r: $(OUT)/$$name is missing"; exit 1; }; \
	    for f in $$found; do echo "  $$r -> $${f%/report/index.html}"; done; \
	done

boards: ## generate the demo boards into testdata/boards
	$(GO) run ./testdata/demoboards -o testdata/boards

test: ## vet and test; needs nothing but Go (checks against outside programs are skipped without them)
	$(GO) vet $(PACKAGES)
	$(GO) test -vet=off -timeout 20m $(PACKAGES)

lint: ## layout, vet, staticcheck
	@echo 'gofmt -l .'; unformatted=$$(gofmt -l .) && test -z "$$unformatted" || { echo "not in canonical layout:"; echo "$$unformatted"; exit 1; }
	$(GO) vet $(PACKAGES)
	$(GO) run honnef.co/go/tools/cmd/staticcheck@v0.8.2 $(PACKAGES)

bench: ## benchmarks: reading, a whole build, memory, the geometry kernel against other libraries
	$(GO) test -run '^$$' -bench . -benchmem -timeout 30m $(PACKAGES)

bench-outside: ## reading of layer files against a reader from npm, whole processes: time, memory, targets, profile if short
	$(GO) build -buildvcs=false -o bin/bench ./pipeline/outside/bench
	test -d testdata/outside/node_modules || npm ci --prefix testdata/outside --ignore-scripts --no-audit --no-fund
	bin/bench

bench-night: ## many recipes: first build, unchanged, one board changed, two processes: times, memory; takes half an hour
	$(GO) run ./testdata/manyrecipes/measure -sizes 10,100,1000

bench-solver: ## the mechanics' direct solver against gonum's of a band, in one run: ratios, difference of results
	cd testdata/outside/solver && $(GO) run .

FUZZTIME ?= 1m

fuzz: ## every fuzz target, each for FUZZTIME, and the kernel's property tests for as long
	$(GO) test -count 1 -v -timeout 24h -run TestPropertiesForLong ./pipeline/geom/overlay -args -long $(FUZZTIME) -seed $$(date +%s)
	GO='$(GO)' .ci/fuzz $(FUZZTIME) cmd pipeline stages

fuzz-readers: ## the fuzz targets of whatever reads files, each for FUZZTIME, from their seeds
	GO='$(GO)' FUZZ_FRESH=1 .ci/fuzz $(FUZZTIME) $(READERS)

planted: ## plant bugs in the geometry kernel, one at a time: the test named for each must find it
	PANELWRIGHT_PLANTED=1 $(GO) test -count 1 -v -timeout 30m -run TestPlantedBugsAreFound ./pipeline/geom/overlay

planted-all: ## plant them again, and run all of the kernel's tests until one finds the bug
	PANELWRIGHT_PLANTED=all $(GO) test -count 1 -v -timeout 60m -run TestPlantedBugsAreFound ./pipeline/geom/overlay

arm64: ## the geometry kernel's tests and the mechanics' digits on arm64, emulated by qemu-aarch64-static (Debian: qemu-user-static)
	PANELWRIGHT_REQUIRE_OUTSIDE= PANELWRIGHT_OUTSIDE_COUNT= CGO_ENABLED=0 GOARCH=arm64 $(GO) test -short -timeout 15m -exec qemu-aarch64-static $(if $(ARM64_SKIP),-skip '$(ARM64_SKIP)') ./pipeline/geom/...
	CGO_ENABLED=0 GOARCH=arm64 $(GO) test -timeout 15m -exec qemu-aarch64-static -run '^TestSame[A-Za-z]*OnEveryProcessor$$' $(addprefix ./pipeline/mechanics/,mesh plate sparse verify) ./pipeline/mechanics

golden: ## write the expected results anew; review them as a diff
	$(GO) test $$(grep -rl --include='*_test.go' 'flag.Bool("update"' cmd pipeline stages | xargs -n1 dirname | sort -u | sed 's,^,./,') -update

verification: ## reckon the mechanics' verification table anew: pipeline/mechanics/VERIFICATION.md
	$(GO) test -count 1 -run TestTable ./pipeline/mechanics/verify -update

install: ## install panelwright into Go's bin folder
	$(GO) install -trimpath -buildvcs=false ./cmd/panelwright

# The same bytes from any folder, of the same sources by the same release of Go: no paths, no version control, no C, and none of the
# settings that a user may have made for Go. VERSION=1.2.3 states another version than the sources do.
REPRODUCIBLE = CGO_ENABLED=0 GOFLAGS= GOEXPERIMENT= GOAMD64=v1 GOARM64=v8.0
RELEASED     = -trimpath -buildvcs=false -ldflags='-s -w$(if $(VERSION), -X main.version=$(VERSION))'

release: ## static binaries for four systems, manual pages and completions, with their checksums, into dist/
	@rm -rf dist && mkdir -p dist/completion
	@for r in $(RELEASES); do \
	    os=$${r%/*}; arch=$${r#*/}; ext=; test $$os = windows && ext=.exe; \
	    set -- $(GO) build $(RELEASED) -o dist/panelwright-$$os-$$arch$$ext ./cmd/panelwright; \
	    echo "$(REPRODUCIBLE) GOOS=$$os GOARCH=$$arch $$*"; \
	    env $(REPRODUCIBLE) GOOS=$$os GOARCH=$$arch "$$@" || exit 1; \
	done
	env $(REPRODUCIBLE) $(GO) build $(RELEASED) -o bin/panelwright ./cmd/panelwright
	bin/panelwright man -o dist/man >/dev/null
	for s in bash zsh fish powershell; do bin/panelwright completion $$s > dist/completion/panelwright.$$s || exit 1; done
	$(GO) version | cut -d' ' -f3 > dist/BUILT-WITH
	cd dist && find . -type f ! -name SHA256SUMS | sed 's,^\./,,' | LC_ALL=C sort | xargs sha256sum > SHA256SUMS && cat SHA256SUMS

release-check: ## a release from two folders is the same, static, and holds no path of where it was made
	PANELWRIGHT_RELEASE=1 $(GO) test -count 1 -v -timeout 30m -run TestReleaseIsReproducible ./cmd/panelwright

clean: ## remove what the targets above make
	rm -rf bin dist build testdata/boards
