#!/bin/sh
# Measures the page in Debian's Chromium on the real program: script, first view, taps, the
# catalogue of designs, and panning a large chart. Tables go to the output.
#
# usage: bench/page.sh MOTLEY BOOK [PART...]
# bench/book FILE --pictures makes the book of thirty years; it is copied, not changed.
# Parts: script, views, catalogue, taps, panning; all of them where none is named. On a busy
# machine `chrt -r 5` before it keeps other work off the cores.
set -eu
motley=$1 book=$2
shift 2
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cp "$book" "$folder/old.book"
"$motley" demo --book "$folder/demo.book" >/dev/null
node "$(dirname "$0")/page.mjs" "$motley" "$folder/old.book" "$folder/demo.book" "$@"
