#!/usr/bin/env bash
# Builds everything and runs every test, those in the real office suite included.
# With "sanitizers" behind it, and where CI is set, it all runs a second time under
# AddressSanitizer and UndefinedBehaviorSanitizer.
. "$(dirname "$0")/../cmake/shell.sh"

stage "Looking for what is missing" install_missing program tests office
stage "Configuring" cmake --preset release
stage "Building program, extension and tests" cmake --build --preset release
say "Testing"
ctest --preset release --progress --no-tests=error -j 2

if [ "${1:-}" = sanitizers ] || [ -n "${CI:-}" ]; then
  stage "Configuring with sanitizers" cmake --preset asan
  stage "Building with sanitizers" cmake --build --preset asan
  say "Testing with sanitizers"
  ctest --preset asan --progress --no-tests=error -j 2
fi
