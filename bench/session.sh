#!/bin/sh
# bench/session.sh MOTLEY BOOK ADDRESS: lets the bench into a server of the book, as motley open
# lets a browser in, and prints the cookie that its requests are to bring.
set -eu
address=${3%/}
code=$("$1" open --book "$2" --port "${address##*:}" --json | sed -n 's,.*#/pair/\([0-9a-f]*\)".*,\1,p')
curl -sf -o /dev/null -D - -H 'Content-Type: application/json' -d "{\"code\": \"$code\", \"name\": \"bench\"}" \
    "$address/api/pair/claim" | sed -n 's/^[Ss]et-[Cc]ookie: \([^;]*\);.*/\1/p'
