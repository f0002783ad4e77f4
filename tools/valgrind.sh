#!/usr/bin/env bash
# tools/valgrind.sh BUILD [TEST...]: runs C tests of a build without sanitizers under valgrind's memcheck:
# no invalid read or write, no use of what was never set, nothing lost. Without names, those of the rooms
# that handle memory by hand. TAP on standard output; skips where there is no valgrind.
set -uo pipefail
cd "$(dirname "$0")/.."
build=$1
shift
if ! command -v valgrind >/dev/null || [ ! -d "$build/tests" ]; then
    echo "1..0 # SKIP valgrind, or a build with tests and without sanitizers, is not there"
    exit 0
fi
tests=("$@")
[ $# -gt 0 ] || tests=(base/test_base_length base/test_base_bits quilt/test_quilt_design
    scrap/test_scrap_outline scrap/test_scrap_plan store/test_store_scrap store/test_store_basket
    store/test_store_safe web/test_web_target web/test_web_tables draw/test_draw_scene)
echo "1..${#tests[@]}"
number=0 failed=0
for test in "${tests[@]}"; do
    number=$((number + 1))
    if [ ! -x "$build/tests/$test" ]; then
        echo "ok $number - $test # SKIP it is not built"
        continue
    fi
    log=$build/valgrind-$(basename "$test").log
    # GLib keeps what it makes once; only what nothing points to any more is a leak.
    if G_SLICE=always-malloc valgrind --error-exitcode=99 --leak-check=full --show-leak-kinds=definite \
        --errors-for-leak-kinds=definite --suppressions=tools/valgrind.supp --log-file="$log" \
        "$build/tests/$test" >/dev/null 2>&1; then
        echo "ok $number - $test"
    else
        echo "not ok $number - $test: see $log"
        grep -m 12 -A6 "Invalid\|uninitialised\|definitely lost in\|ERROR SUMMARY" "$log" | sed 's/^/# /'
        failed=1
    fi
done
exit $failed
