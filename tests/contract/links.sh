#!/bin/sh
# links.sh NM LOWER... -- UPPER... -- FORBIDDEN...
# Fails where an archive of LOWER asks for a symbol that only FORBIDDEN defines. Those of UPPER do ask
# for some: where none is found among them, this check sees nothing and fails as well.
set -eu
export LC_ALL=C
nm=$1
shift
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
part=lower
: > "$work/lower"
: > "$work/upper"
: > "$work/forbidden"
for word in "$@"; do
  if [ "$word" = -- ]; then
    if [ $part = lower ]; then part=upper; else part=forbidden; fi
  elif [ $part = forbidden ]; then
    # Only what stands there alone: T, D, R and B; templates stand wherever they are used.
    "$nm" --defined-only "$word" | awk 'NF == 3 && $2 ~ /^[TDRB]$/ {print $3}' >> "$work/forbidden"
  else
    "$nm" --undefined-only "$word" | awk 'NF == 2 {print $2}' >> "$work/$part"
  fi
done
for file in lower upper forbidden; do sort -u -o "$work/$file" "$work/$file"; done
comm -12 "$work/upper" "$work/forbidden" > "$work/seen"
if [ ! -s "$work/seen" ]; then
  echo "the check finds nothing where something must be"
  exit 1
fi
comm -12 "$work/lower" "$work/forbidden" > "$work/found"
if [ -s "$work/found" ]; then
  echo "asked for by a library that must not know of it:"
  cat "$work/found"
  exit 1
fi
