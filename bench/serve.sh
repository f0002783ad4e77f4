# bench/serve.sh: to be sourced with motley and book set; starts the program and sets folder, server (its
# number), base (its address without a last slash) and cookie. It ends with the script that sourced it.
folder=$(mktemp -d)
: >"$folder/address"
"$motley" serve --port 0 --book "$book" >"$folder/address" 2>"$folder/log" &
server=$!
trap 'kill $server; wait $server 2>/dev/null || true; rm -r "$folder"' EXIT
while ! grep -q http "$folder/address"; do sleep 0.02; done
base=$(grep -o 'http://[^ ]*' "$folder/address" | head -1)
base=${base%/}
cookie=$("$(dirname "$0")/session.sh" "$motley" "$book" "$base")
