#!/bin/sh
# Every check of the source text that needs no running program.
set -u

# The checker's version is pinned here and nowhere else.
staticcheck=honnef.co/go/tools/cmd/staticcheck@v0.8.2
failed=0

echo "lint: gofmt"
wrong=$(git ls-files -z --cached --others --exclude-standard '*.go' | xargs -0 gofmt -l)
if [ -n "$wrong" ]; then
	printf 'these files are not formatted; run gofmt -w on them:\n%s\n' "$wrong"
	failed=1
fi

echo "lint: go vet"
go vet ./... || failed=1

echo "lint: staticcheck"
go run "$staticcheck" ./... || failed=1

if command -v shellcheck >/dev/null 2>&1; then
	echo "lint: shellcheck"
	shellcheck scripts/*.sh .ci/run || failed=1
else
	echo "lint: shellcheck is not installed, so the shell scripts were not checked"
fi
exit "$failed"
