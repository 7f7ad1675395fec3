#!/usr/bin/env bash
# Looks at pages and drawings as a reader gets them: HTML by html-validate, accessibility by axe-core
# in headless Chromium (light and dark, at a phone's and a desk's width), SVG by an XML parser. Leaves
# screenshots and prints (A4 and Letter) in the folder that is named, for somebody to look at.
#
#   bash tests/looks/run.sh FOLDER
#
# Needs Node.js with npm, Debian's chromium and python3; takes some minutes beside the build.
set -euo pipefail
out=$(mkdir -p "${1:?a folder for screenshots}" && cd "$1" && pwd)
cd "$(dirname "$0")/../.."
cargo build --quiet
kitproof=target/debug/kitproof

# Requests: what stays, what comes out, what moves, an empty board, and one of eight sockets.
python3 tests/looks/requests.py "$out"
example() { python3 -c 'import json, sys; json.dump(json.load(open(sys.argv[1]))[sys.argv[2]], sys.stdout)' \
    openapi/examples/explain-choice.json "$1"; }
example optimise >"$out/optimise.json"
example alternative >"$out/kit.json"
refused=openapi/examples/cart-too-many-ranks.json

pages=()
page() {
    local name=$1
    shift
    "$kitproof" "$@" --form html >"$out/$name.html"
    pages+=("$name.html")
}
drawings=()
drawing() {
    local name=$1
    shift
    "$kitproof" "$@" --form svg >"$out/$name.svg"
    python3 -c 'import sys, xml.dom.minidom as d; d.parse(sys.argv[1])' "$out/$name.svg"
    drawings+=("$name.svg")
}
for language in en de; do
    for case in stays out moves empty; do
        page "sheet-$case-$language" explain "$out/$case.json" --about worksheet --language "$language"
    done
    page "verdict-$language" check "$refused" --report --language "$language"
    for about in verdict limit conflict; do
        page "$about-why-$language" explain "$refused" --about "$about" --language "$language"
    done
    page "compare-$language" explain "$refused" --about compare --other "$out/empty.json" --language "$language"
    page "choice-$language" explain "$out/optimise.json" --about choice --alternative "$out/kit.json" \
        --language "$language"
    drawing "board-$language" check "$refused" --report --language "$language"
    drawing "eight-$language" check "$out/eight.json" --report --language "$language"
done

cp tests/looks/look.mjs "$out/look.mjs"
cd "$out"
[ -d node_modules ] || npm install --no-audit --no-fund --silent --prefix . \
    html-validate@10 axe-core@4 playwright-core@1.64.1
npx html-validate "${pages[@]}"
node look.mjs "${pages[@]}" "${drawings[@]}"
