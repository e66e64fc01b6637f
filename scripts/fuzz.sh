#!/bin/sh
# Runs every fuzz test for a short while, one after the other: FUZZTIME each
# (10s unless set).
set -eu

grep -rE --include='*_test.go' --exclude-dir=node_modules '^func Fuzz' . |
	sed -nE 's/^([^:]*):func (Fuzz[A-Za-z0-9_]*).*/\1 \2/p' | sort |
	while read -r file name; do
		room=$(dirname "$file")
		echo "fuzz: $room $name"
		go test -run '^$' -fuzz "^$name\$" -fuzztime "${FUZZTIME:-10s}" "$room" </dev/null
	done
