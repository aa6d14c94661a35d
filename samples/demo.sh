#!/usr/bin/env bash
# Installs what is missing, builds the program, surveys the invented boards of samples/, and says
# where the results are; opens the window on one of them when there is a display. Needs no argument and
# works from any folder.
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cd "$root"
# shellcheck source=/dev/null
. .ci/install.sh
verdigrid_install "$root"

cmake --preset release
cmake --build --preset release -j "$(nproc)" --target verdigrid verdigrid_heic described

verdigrid=build/release/verdigrid
results=build/demo
mkdir -p "$results"

# One line per photo, tab-separated: file, width x height in mm, side, turn.
photos() {
  python3 - samples/boards.json <<'PYTHON'
import json, sys
for board in json.load(open(sys.argv[1], encoding="utf-8"))["boards"]:
    for photo in board["photos"]:
        print(photo["file"], f'{board["width_mm"]:g}x{board["height_mm"]:g}',
              photo.get("side", "front"), photo.get("turn", 0), sep="\t")
PYTHON
}

while IFS=$'\t' read -r photo size side turn; do
  name=$(basename "${photo%.*}")
  echo
  echo "== $name"
  "$verdigrid" survey "samples/$photo" --board-mm "$size" --side "$side" --turn "$turn" \
    -o "$results/$name"
done < <(photos)

# What the wash did, by the two photos of each side.
while IFS=$'\t' read -r photo size side turn; do
  case "$photo" in *-arrival.jpg) ;; *) continue ;; esac
  name=$(basename "${photo%-arrival.jpg}")
  echo
  echo "== $name, arrival and after the wash"
  "$verdigrid" compare "$results/$name-arrival" "$results/$name-washed" \
    --before-photo "samples/$photo" --after-photo "samples/${photo%-arrival.jpg}-washed.jpg" \
    --after-dry -o "$results/$name-compared"
done < <(photos)

echo
echo "== What to do with logger-main, and what still forbids power"
plan_of=$results/logger-main-front-arrival
rm -f "$plan_of.lock.json"
"$verdigrid" plan "$plan_of" --back "$results/logger-main-back-arrival" --replace \
  --battery-fitted no --wet no > "$plan_of.plan.txt"
sed -n '1,9p' "$plan_of.plan.txt"
"$verdigrid" lock meet "$plan_of" after-wash-photo --photo samples/logger-main-front-washed.jpg \
  --who "Demo person"
"$verdigrid" lock show "$plan_of" > "$plan_of.lock.txt"
sed -n '1,2p' "$plan_of.lock.txt"

echo
echo "== A job book: what to order for the logger, and what to quote its owner"
shelf=$results/shelf
rm -rf "$shelf" "$results/rates.json"
"$verdigrid" jobbook init "$shelf" > /dev/null
unit=$("$verdigrid" jobbook receive "$shelf" --name "Weather logger" --battery no \
  --picture-tube no --mains-capacitors no --who "Demo person")
"$verdigrid" survey samples/logger-main-front-arrival.jpg --board-mm 160x110 \
  --jobbook "$shelf" --unit "$unit" > /dev/null
# Money per hour and part prices are the user's own: the starting table has none.
"$verdigrid" rates init --currency EUR -o "$results/rates.json" > /dev/null
sed -i 's/"money_per_hour": 0\(.0\)\?/"money_per_hour": 60/' "$results/rates.json"
"$verdigrid" plan "$unit" --jobbook "$shelf" --rates "$results/rates.json" > /dev/null
"$verdigrid" plan add "$unit" --jobbook "$shelf" --operation replace-leaded-can --part C4 \
  --part C8 --place "battery corner" --who "Demo person" > /dev/null
"$verdigrid" order part "$shelf" "$unit" C4 C8 --value "100 uF" --volts 25 --diameter 12.5 \
  --height 20 --spacing 5 --who "Demo person" > /dev/null
"$verdigrid" order list "$shelf" -o "$results/order.csv" --replace
"$verdigrid" quote make "$shelf" "$unit" --tax 20 --valid 30 --call-above 400 \
  -o "$results/quote.pdf" --replace --who "Demo person"

echo
echo "Results: $root/$results - open overlay.jpg and places.jpg in each folder, *.plan.txt, *.lock.txt, order.csv, quote.pdf."
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
  exec "$verdigrid" samples/logger-main-front-arrival.jpg
fi
