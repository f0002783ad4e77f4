#!/usr/bin/env bash
# Installs what is missing, by Debian package, and nothing else.
#   tools/setup.sh build   what building and running needs
#   tools/setup.sh check   that, and what the tests need
set -euo pipefail

build=(gcc meson ninja-build pkg-config python3 libglib2.0-dev libvips-dev libapriltag-dev
    libcairo2-dev libpango1.0-dev libfontconfig-dev libjpeg-dev libpng-dev libsqlite3-dev libjansson-dev
    libmicrohttpd-dev libgeos-dev libseccomp-dev libqrencode-dev)
check=(clang lld clang-format libcmocka-dev libclang-rt-14-dev libglpk-dev liblcms2-dev poppler-utils
    qpdf librsvg2-bin libxml2-utils sqlite3 chromium git groff
    man-db bash zsh fish desktop-file-utils appstream)

wanted=("${build[@]}")
[ "${1:-build}" = build ] || wanted+=("${check[@]}")
# Node.js may have come from elsewhere, with an npm of its own that Debian's would clash with.
if [ "${1:-build}" = check ]; then
    command -v node >/dev/null || wanted+=(nodejs)
    command -v npm >/dev/null || wanted+=(npm)
fi

missing=()
for package in "${wanted[@]}"; do
    [ "$(dpkg-query -W -f '${db:Status-Status}' "$package" 2>/dev/null)" = installed ] ||
        missing+=("$package")
done
[ ${#missing[@]} -gt 0 ] || exit 0

echo "Motley needs these Debian packages, which are not installed yet:"
printf '  %s\n' "${missing[@]}"
if [ "$(id -u)" = 0 ]; then
    as_root=()
elif command -v sudo >/dev/null; then
    as_root=(sudo)
    if [ -t 0 ]; then
        read -r -p "Install them with sudo apt-get? [Y/n] " answer
        case "$answer" in [nN]*) echo "Nothing was installed."; exit 1 ;; esac
    fi
else
    echo "Run this as root once, or: apt-get install ${missing[*]}" >&2
    exit 1
fi
export DEBIAN_FRONTEND=noninteractive
"${as_root[@]}" apt-get update -q
"${as_root[@]}" apt-get install -q -y --no-install-recommends "${missing[@]}"
