#!/usr/bin/env bash
# packaging/deb twice, in folders of other lengths, at other times, by another clock and mask: the
# same bytes. lintian finds no error, or packaging/deb fails.
#   usage: check_deb.sh SOURCE-ROOT
set -u
root=$1
for tool in dpkg-buildpackage dh lintian fakeroot git; do
    command -v "$tool" >/dev/null || { echo "1..0 # SKIP no $tool here"; exit 0; }
done
git -C "$root" rev-parse HEAD >/dev/null 2>&1 || { echo "1..0 # SKIP the sources are no git repository"; exit 0; }
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/a" "$work/a-longer-name-than-the-first"

TMPDIR=$work/a "$root/packaging/deb" "$work/one" >"$work/log" 2>&1
if [ $? = 0 ]; then echo "ok 1 - it is built, and lintian finds no error"; else
    echo "not ok 1 - it is built, and lintian finds no error"; sed 's/^/# /' "$work/log"
    echo "1..1"; exit 1
fi
sleep 2
(umask 077; TMPDIR=$work/a-longer-name-than-the-first TZ=Pacific/Auckland LC_ALL=C \
    "$root/packaging/deb" "$work/two" >"$work/log" 2>&1)
if cmp "$work"/one/*.deb "$work"/two/*.deb >>"$work/log" 2>&1; then
    echo "ok 2 - built again elsewhere and later it is the same to the byte"
else
    echo "not ok 2 - built again elsewhere and later it is the same to the byte"
    tail -20 "$work/log" | sed 's/^/# /'
fi
files=$(dpkg-deb -c "$work"/one/*.deb | awk '{print $6}')
missing=
for file in ./usr/bin/motley ./usr/lib/systemd/user/motley.service ./usr/share/man/man1/motley.1.gz \
    ./usr/share/man/man5/motley.5.gz ./usr/share/applications/org.motley.Motley.desktop \
    ./usr/share/doc/motley/copyright; do
    grep -qxF "$file" <<<"$files" || missing="$missing $file"
done
if [ -z "$missing" ]; then echo "ok 3 - everything is in its place"; else
    echo "not ok 3 - everything is in its place"; echo "# missing:$missing"
fi
if dpkg-deb --fsys-tarfile "$work"/one/*.deb | grep -aqF "$work"; then
    echo "not ok 4 - it names no folder that it was built in"
else
    echo "ok 4 - it names no folder that it was built in"
fi
echo "1..4"
