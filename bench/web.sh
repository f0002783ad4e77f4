#!/bin/sh
# Measures the server on the demo book: how soon it answers, how fast it answers under 32
# connections, and what memory it takes.
#
# usage: bench/web.sh [MOTLEY] [SECONDS]
set -eu
motley=${1:-build/motley}
seconds=${2:-10}
folder=$(mktemp -d)
trap 'kill "$server" 2>/dev/null || true; rm -rf "$folder"' EXIT

now() { date +%s%N; }

"$motley" demo --book "$folder/bench.book" >/dev/null
began=$(now)
"$motley" serve --book "$folder/bench.book" --port 0 >"$folder/address" 2>"$folder/log" &
server=$!
until address=$(grep -o 'http://[^ ]*' "$folder/address"); do sleep 0.002; done
curl -s -o "$folder/page" "$address"
printf 'start to first page: %d ms\n' $((($(now) - began) / 1000000))

cookie=$("$(dirname "$0")/session.sh" "$motley" "$folder/bench.book" "$address")

memory() { awk '/VmRSS/ { printf "%.1f MB", $2 / 1024 }' "/proc/$server/status"; }
printf 'memory, idle: %s\n' "$(memory)"
for path in api/basket api/book ""; do
    sleep 1 # until the last connections have closed
    printf '\nGET /%s, 32 connections\n' "$path"
    wrk -t 2 -c 32 -d "${seconds}s" --latency -H "Cookie: $cookie" "$address$path" |
        grep -E '50%|99%|Requests/sec|Non-2xx|Socket errors' || true
done
printf '\nmemory, after: %s\n' "$(memory)"
