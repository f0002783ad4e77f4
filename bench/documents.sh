#!/bin/sh
# bench/documents.sh MOTLEY BOOK: asks a running server for every document and picture of
# a book and prints what it computed for one (mean of nine), and the fastest, the median and
# the worst answer, in milliseconds. Each is asked otherwise, so that none comes from what
# the server keeps.
# bench/book FILE --pictures makes a book of thirty years.
set -eu
motley=$1 book=$2
. "$(dirname "$0")/serve.sh"
quilt=$(curl -s -b "$cookie" "$base/api/quilts" | python3 -c '
import json, sys, urllib.parse
quilts = json.load(sys.stdin)["quilts"]
print(urllib.parse.quote(max(quilts, key=lambda q: q["made"])["quilt"]))')

# What the program's threads have computed so far, in nanoseconds: the same on a busy
# machine as on a quiet one.
computed() { cat /proc/$server/task/*/schedstat | awk '{ sum += $1 } END { printf "%.0f", sum }'; }

echo "| document | computing ms | fastest ms | median ms | worst ms | kB |"
echo "|---|---|---|---|---|---|"
for path in book basket sources record years quilts designs beds wants backgrounds reuse fabrics \
    "fabrics?find=teal" "fabrics?find=blue" "fabrics?basket=true&limit=60" fabrics/777 scraps photos questions pile tools \
    settings "quilts/$quilt" "quilts/$quilt/next" "quilts/$quilt/wall" \
    "quilts/$quilt/sew" "quilts/$quilt/assemble" "quilts/$quilt/finish" \
    "quilts/$quilt/forecast" "quilts/$quilt/record" "quilts/$quilt/where.svg" \
    "quilts/$quilt/buy" "quilts/$quilt/chart.svg" "quilts/$quilt/picture.svg"; do
    case $path in *\?*) and='&' ;; *) and='?' ;; esac
    before=$(computed)
    for i in 1 2 3 4 5 6 7 8 9; do
        curl -s -b "$cookie" -o "$folder/answer" -w '%{http_code} %{time_total} %{size_download}\n' \
            "$base/api/$path${and}otherwise=$i"
    done >"$folder/times"
    python3 -c '
import sys
rows = [line.split() for line in sys.stdin]
times = [1000 * float(row[1]) for row in rows]
note = "" if rows[0][0] == "200" else " (status %s)" % rows[0][0]
print("| %s%s | %.1f | %.1f | %.1f | %.1f | %.0f |" % (sys.argv[1], note,
    (int(sys.argv[3]) - int(sys.argv[2])) / 9e6, min(times),
    sorted(times)[4], max(times), int(rows[0][2]) / 1000))' "$path" "$before" "$(computed)" <"$folder/times"
done
