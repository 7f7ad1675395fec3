#!/usr/bin/env bash
# Looks at pages and drawings as a reader gets them: HTML by html-validate, accessibility by axe-core
# in headless Chromium (light and dark, at a phone's width), SVG by an XML parser. Leaves screenshots
# and an A4 print in the folder that is named, for somebody to look at.
#
#   bash tests/looks/run.sh FOLDER
#
# Needs Node.js with npm, Debian's chromium and python3; takes about a minute beside the build.
set -euo pipefail
out=$(mkdir -p "${1:?a folder for screenshots}" && cd "$1" && pwd)
cd "$(dirname "$0")/../.."
cargo build --quiet
kitproof=target/debug/kitproof
fits=$out/fits.json
echo '{"board": "tarn", "kit": [{"module": "ERW-3R32-4x4", "quantity": 16}]}' >"$fits"
refused=openapi/examples/cart-too-many-ranks.json

"$kitproof" explain "$fits" --about worksheet --form html >"$out/worksheet.html"
"$kitproof" explain "$refused" --about limit --form html --language de >"$out/limit.html"
"$kitproof" check "$refused" --report --form html >"$out/verdict.html"
"$kitproof" check "$refused" --report --form svg >"$out/board.svg"
python3 -c 'import sys, xml.dom.minidom as d; d.parse(sys.argv[1])' "$out/board.svg"

cp tests/looks/look.mjs "$out/look.mjs"
cd "$out"
[ -d node_modules ] || npm install --no-audit --no-fund --silent --prefix . \
    html-validate@10 axe-core@4 playwright-core@1.64.1
npx html-validate worksheet.html limit.html verdict.html
node look.mjs worksheet.html limit.html verdict.html
