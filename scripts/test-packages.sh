#!/bin/sh
# Sees that the programs are there which only the tests use: a browser, two other
# solvers that the plans are held against, and a reader of the browser's prints. On Debian and its kin it says
# which packages are missing and installs them, as root or through sudo;
# elsewhere it says what to install. Without them the tests that need them are
# skipped, except under CI=true, where they fail.
set -eu

have() {
	for name in "$@"; do
		if command -v "$name" >/dev/null 2>&1; then return 0; fi
	done
	return 1
}

packages=""
have chromium chromium-browser google-chrome || packages="$packages chromium"
have cbc || packages="$packages coinor-cbc"
have glpsol || packages="$packages glpk-utils"
have pdftotext || packages="$packages poppler-utils"
[ -n "$packages" ] || exit 0

echo "The tests also use these packages, which are not installed:$packages"

if ! have apt-get; then
	echo "Install a Chromium browser, CBC (the command cbc), GLPK (the command glpsol) and Poppler (the command pdftotext) in your system's way to run every test." >&2
	exit 0
fi

if [ "$(id -u)" -eq 0 ]; then
	as_root=""
elif have sudo; then
	as_root="sudo"
	[ -t 0 ] || as_root="sudo -n"
else
	echo "To run every test, install them as root: apt-get install$packages" >&2
	exit 0
fi

install_them() {
	# shellcheck disable=SC2086 # the lists are meant to be split into words
	$as_root apt-get update -qq &&
		$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $packages
}

# Debian's mirrors now and then fail once.
if ! install_them && ! { sleep 3 && install_them; }; then
	echo "They could not be installed; the tests that need them are skipped. To run every test: apt-get install$packages" >&2
	[ "${CI:-}" != true ] || exit 1
fi
