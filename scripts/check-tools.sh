#!/bin/sh
# Says in one sentence each what is missing to build Henyear, and then exits
# with 2. It installs nothing: which programs a computer has is its owner's
# business.
set -u

least_go_minor=26
least_node=20
missing=0

lack() {
	printf '%s\n' "$1" >&2
	missing=1
}

have() { command -v "$1" >/dev/null 2>&1; }

have git || lack "git is missing; install it with your system's packages, for example: apt-get install git"
have make || lack "make is missing; install it with your system's packages, for example: apt-get install make"

if have go; then
	# GOTOOLCHAIN=local asks for the version that is installed, not for one
	# that Go would download for this folder.
	version=$(GOTOOLCHAIN=local go version 2>/dev/null | sed -n 's/.*go1\.\([0-9][0-9]*\).*/\1/p')
	if [ "${version:-0}" -lt "$least_go_minor" ]; then
		lack "Go 1.$least_go_minor or newer is needed and this is $(GOTOOLCHAIN=local go version 2>/dev/null | cut -d' ' -f3); see https://go.dev/doc/install"
	fi
else
	lack "Go 1.$least_go_minor or newer is missing; see https://go.dev/doc/install"
fi

if have node; then
	version=$(node --version 2>/dev/null | sed -n 's/^v\([0-9][0-9]*\).*/\1/p')
	if [ "${version:-0}" -lt "$least_node" ]; then
		lack "Node $least_node or newer is needed and this is $(node --version 2>/dev/null); see https://nodejs.org"
	fi
else
	lack "Node $least_node or newer is missing; see https://nodejs.org"
fi
have npm || lack "npm is missing; it comes with Node, see https://nodejs.org"

[ "$missing" -eq 0 ] || exit 2
