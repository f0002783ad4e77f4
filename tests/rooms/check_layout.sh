#!/usr/bin/env bash
# clang-format decides layout: prints one TAP line, not ok where a file differs.
cd "$1" || exit 1
echo 1..1
if files=$(git ls-files '*.c' '*.h' 2>/dev/null) && [ -n "$files" ]; then :; else
    files=$(find src tests bench fuzz -name '*.[ch]')
fi
if differs=$(printf '%s\n' $files | xargs clang-format --dry-run -Werror 2>&1); then
    echo "ok 1 - every file is laid out as clang-format does it"
else
    echo "not ok 1 - every file is laid out as clang-format does it"
    grep -oE '^[^:]+\.[ch]' <<<"$differs" | sort -u | sed 's/^/# /'
fi
