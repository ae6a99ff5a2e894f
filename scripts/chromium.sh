#!/usr/bin/env bash
# Make sure that a Chromium is there for the browser tests: install Debian's where that is possible.
# With CI=true a missing browser is a failure; otherwise the tests are skipped with a reason.
set -euo pipefail

found() { command -v chromium || command -v chromium-browser; }

if found >/dev/null; then exit 0; fi
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "Installing chromium for the browser tests"
  if apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium fonts-liberation >/dev/null &&
    found >/dev/null; then exit 0; fi
fi
echo "No chromium here: install the package 'chromium' (as root: apt-get install chromium) to run the browser tests." >&2
if [ "${CI:-}" = true ]; then exit 1; fi
