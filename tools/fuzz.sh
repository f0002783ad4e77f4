#!/usr/bin/env bash
# tools/fuzz.sh SECONDS [TARGET...]: runs libFuzzer's search over the targets of fuzz/, each for so
# long, from the seeds and from what earlier runs found (build-fuzz/corpus). Needs clang. Everything is
# built once more, in build-fuzz, so that the search sees which branches an input takes.
set -euo pipefail
cd "$(dirname "$0")/.."
seconds=$1
shift
[ -f build-fuzz/build.ninja ] ||
    CC='ccache clang' meson setup build-fuzz -Dbuildtype=debugoptimized -Doptimization=1 -Dtests=true \
        -Db_sanitize=address,undefined -Db_lundef=false '-Dc_args=-fsanitize=fuzzer-no-link -Wno-psabi' >/dev/null
targets=("$@")
if [ $# = 0 ]; then
    mapfile -t targets < <(ninja -C build-fuzz -t targets all |
        sed -n 's,^fuzz/libfuzzer_\([a-z_]*\): .*,\1,p' | sort)
fi
ninja -C build-fuzz "${targets[@]/#/fuzz/libfuzzer_}" >build-fuzz/fuzz-build.log ||
    { tail -30 build-fuzz/fuzz-build.log; exit 1; }

export ASAN_OPTIONS=detect_leaks=1
export LSAN_OPTIONS="suppressions=$PWD/tools/lsan.supp:print_suppressions=0"
export UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1
echo "1..${#targets[@]}"
number=0 failed=0
for target in "${targets[@]}"; do
    number=$((number + 1))
    seeds=fuzz/seeds/$target
    [ "$target" != design ] || seeds=designs
    corpus=build-fuzz/corpus/$target
    mkdir -p "$corpus"
    if build-fuzz/fuzz/libfuzzer_"$target" -max_total_time="$seconds" -timeout=30 -rss_limit_mb=4096 \
        -print_final_stats=1 -artifact_prefix="build-fuzz/$target-" "$corpus" "$seeds" \
        >"build-fuzz/$target.log" 2>&1; then
        echo "ok $number - $target: $(sed -n 's/^stat::number_of_executed_units: *//p' \
            "build-fuzz/$target.log") inputs"
    else
        echo "not ok $number - $target: see build-fuzz/$target.log"
        sed 's/^/# /' "build-fuzz/$target.log" | tail -40
        failed=1
    fi
done
exit $failed
