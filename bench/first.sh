#!/bin/sh
# bench/first.sh MOTLEY BOOK [SECONDS]: starts the program and asks for the record so many seconds
# later (0), and once more; prints both in milliseconds.
set -eu
motley=$1 book=$2 later=${3:-0}
folder=$(mktemp -d)
"$motley" serve --port 0 --book "$book" >"$folder/address" 2>"$folder/log" &
server=$!
trap 'kill $server; wait $server 2>/dev/null || true; rm -r "$folder"' EXIT
while ! grep -q http "$folder/address"; do sleep 0.02; done
base=$(grep -o 'http://[^ ]*' "$folder/address" | head -1)
base=${base%/}
cookie=$("$(dirname "$0")/session.sh" "$motley" "$book" "$base")
sleep "$later"
for time in first again; do
    curl -s -o /dev/null -w "$time %{time_total}\n" -b "$cookie" "$base/api/record?asked=$time"
done | awk '{ printf "%s: %.0f ms\n", $1, 1000 * $2 }'
