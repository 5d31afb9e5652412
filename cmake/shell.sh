# Sourced by examples/run.sh and tests/run.sh: quiet stages, missing packages, plain failures.
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
logs="$root/build/logs"
mkdir -p "$logs"
cd "$root"

# Everything that the program needs to be built.
program_packages=(
  g++ cmake ninja-build pkg-config
  libboost-dev libfmt-dev libcli11-dev nlohmann-json3-dev libpcre2-dev libutf8proc-dev zlib1g-dev
)

say() { printf '%s\n' "$*"; }

# stage TITLE COMMAND...: runs it quietly, shows that it lives, and on failure the end of its log.
stage() {
  local title=$1 log start pid ticks=0
  shift
  log="$logs/$(printf '%s' "$title" | tr -cs 'A-Za-z0-9' '-').log"
  start=$SECONDS
  printf '%s ' "$title"
  "$@" >"$log" 2>&1 </dev/null &
  pid=$!
  while kill -0 "$pid" 2>/dev/null; do
    sleep 1
    ticks=$((ticks + 1))
    if ((ticks % 5 == 0)); then printf '.'; fi
  done
  if wait "$pid"; then
    printf ' done (%d s)\n' "$((SECONDS - start))"
    return 0
  fi
  printf ' FAILED after %d s\n\n' "$((SECONDS - start))"
  say "The last lines of $log:"
  tail -n 40 "$log"
  return 1
}

# install PACKAGE...: the ones that are missing, with apt-get.
install_missing() {
  local missing=() package
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'ok installed' ||
      missing+=("$package")
  done
  ((${#missing[@]} == 0)) && return 0
  if ! command -v apt-get >/dev/null; then
    say "Please install these packages, or what stands for them on your system: ${missing[*]}"
    return 1
  fi
  local sudo=()
  if [ "$(id -u)" != 0 ]; then
    if ! command -v sudo >/dev/null; then
      say "Please install as root: apt-get install ${missing[*]}"
      return 1
    fi
    sudo=(sudo)
  fi
  "${sudo[@]}" apt-get update -q
  "${sudo[@]}" env DEBIAN_FRONTEND=noninteractive \
    apt-get install -y -q --no-install-recommends "${missing[@]}"
}
