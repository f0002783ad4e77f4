#!/bin/sh
# bench/first.sh MOTLEY BOOK [SECONDS]: starts the program and asks for the record so many seconds
# later (0), and once more; prints both in milliseconds.
set -eu
motley=$1 book=$2 later=${3:-0}
. "$(dirname "$0")/serve.sh"
sleep "$later"
for time in first again; do
    curl -s -o /dev/null -w "$time %{time_total}\n" -b "$cookie" "$base/api/record?asked=$time"
done | awk '{ printf "%s: %.0f ms\n", $1, 1000 * $2 }'
