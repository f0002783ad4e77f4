#!/usr/bin/env bash
# bench/engine.sh BENCH QAP [SEEDS]: the assignment engine on published instances, and beside
# the plain robust tabu search of the literature. Prints the load, then a table.
#
#   BENCH  the folder of built benches (build/bench)
#   QAP    the folder with nug30.dat, tai64c.dat, sko100a.dat, tai256c.dat.gz in QAPLIB's format
#   SEEDS  of each instance, 1 to SEEDS (10)
#
# Seconds are those a thread really ran (--cpu), since the machine is seldom ours alone: by the
# clock of a quiet machine they are the same. Against the plain search, which has one thread,
# the engine has one thread too.
set -euo pipefail
bench=$(realpath "$1")
data=$(realpath "$2")
seeds=${3:-10}
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
gzip -dc "$data/tai256c.dat.gz" >"$folder/tai256c.dat"
for name in nug30 tai64c sko100a; do cp "$data/$name.dat" "$folder"; done

# Mean gap in per cent, the largest, and how many runs reached the best known.
gaps() { awk -v best="$1" '{ gap = 100 * ($2 - best) / best; sum += gap; hits += $2 <= best
    if (gap > most) most = gap } END { printf "%.3f %%, largest %.3f %%, %d of %d", sum / NR, most, hits, NR }'; }
runs() { # FILE SECONDS FLAG...
    local file=$1 seconds=$2
    shift 2
    for seed in $(seq "$seeds"); do
        "$bench/qap" "$file" --seconds "$seconds" --seed "$seed" --cpu "$@"
    done
}

echo "load before: $(cut -d' ' -f1-3 /proc/loadavg), $(nproc) cores, $seeds seeds"
echo
echo "| instance, best known | seconds | two threads: mean gap | one thread | plain tabu search, one thread |"
echo "|---|---|---|---|---|"
while read -r name best seconds; do
    file=$folder/$name.dat
    echo "| $name, $best | $seconds | $(runs "$file" "$seconds" --threads 2 | gaps "$best") |" \
        "$(runs "$file" "$seconds" --threads 1 | gaps "$best") |" \
        "$(runs "$file" "$seconds" --plain | gaps "$best") |"
done <<'END'
nug30 6124 1
tai64c 1855928 0.2
sko100a 152002 10
tai256c 44759294 10
END
echo
echo "load after: $(cut -d' ' -f1-3 /proc/loadavg)"
