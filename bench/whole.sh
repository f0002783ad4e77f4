#!/usr/bin/env bash
# bench/whole.sh MOTLEY PHOTO...: the whole program as a maker meets it. Prints a table.
#   start to first page, a photo from file to document, resident memory idle and after ten
#   photos, the chart of a quilt of 480 blocks as PDF, a block composed.
set -euo pipefail
motley=$(realpath "$1")
shift
photos=()
for photo in "$@"; do photos+=("$(realpath "$photo")"); done
folder=$(mktemp -d)
trap 'kill "$server" 2>/dev/null || true; rm -rf "$folder"' EXIT
book="$folder/bench.book"

now() { date +%s%N; }
row() { printf '| %s | %s |\n' "$1" "$2"; }
took_ms() { local begun; begun=$(now); "$@" >/dev/null; echo $((($(now) - begun) / 1000000)); }
median() { sort -n | awk '{ v[NR] = $1 } END { print v[int((NR + 1) / 2)] }'; }
resident_mb() { awk '/^VmRSS/ { printf "%.1f", $2 / 1024 }' "/proc/$server/status"; }

"$motley" demo --book "$book" --quiet
begun=$(now)
"$motley" serve --book "$book" --port 0 --quiet >"$folder/address" 2>/dev/null &
server=$!
until grep -q http "$folder/address" 2>/dev/null; do sleep 0.002; done
address=$(grep -o 'http://[^ ]*' "$folder/address")
address=${address%/}
cookie=$("$(dirname "$0")/session.sh" "$motley" "$book" "$address")
curl -s -b "$cookie" "$address/" "$address/api/book" -o /dev/null -o /dev/null
row "start to first page" "$((($(now) - begun) / 1000000)) ms"
sleep 1
row "resident, idle" "$(resident_mb) MB"

for photo in "${photos[@]}"; do
    for _ in 1 2 3; do took_ms "$motley" measure "$photo" --json --book "$book"; done
done | median | while read -r ms; do row "photo to document, a process each (median)" "$ms ms"; done

for i in $(seq 10); do
    photo=${photos[$((i % ${#photos[@]}))]}
    job=$(curl -s -b "$cookie" -X PUT -H 'Content-Type: image/jpeg' --data-binary "@$photo" \
        "$address/api/photos?name=$i.jpg" | sed 's/.*"job": *"\([^"]*\)".*/\1/')
    until curl -s -b "$cookie" "$address/api/jobs/$job" | grep -qE '"state": ?"(done|failed)"'; do sleep 0.05; done
done
sleep 1
row "resident after ten photos" "$(resident_mb) MB"

"$motley" quilt start Wall --design nine-patch --across 20 --down 24 --book "$book" --quiet
for _ in 1 2 3 4 5; do
    took_ms "$motley" print chart Wall -o "$folder/chart.pdf" --book "$book"
done | median | while read -r ms; do row "chart of 480 blocks as PDF, a process each" "$ms ms"; done
for _ in 1 2 3 4 5; do
    took_ms "$motley" next Tideline --book "$book"
done | median | while read -r ms; do row "next block, a process each" "$ms ms"; done
