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
cmake --build --preset release -j "$(nproc)" --target verdigrid verdigrid_heic

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
echo "Results: $root/$results - open overlay.jpg and places.jpg in each folder, *.plan.txt and *.lock.txt."
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
  exec "$verdigrid" samples/logger-main-front-arrival.jpg
fi
