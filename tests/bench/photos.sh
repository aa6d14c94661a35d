#!/bin/sh
# Surveys every photo of a bench folder and scores the labels against its truth.
#
#   photos.sh PHOTO_FOLDER [OUT_FOLDER] [survey_photos options, such as --setting show-less]
#
# PHOTO_FOLDER holds damaged/, clean/ and truth/; ../tools/score.py beside it (or SCORE) prints the
# summary. The program is taken from build/release, or from BUILD.
set -eu
[ $# -ge 1 ] || { echo "photos.sh PHOTO_FOLDER [OUT_FOLDER] [options]" >&2; exit 2; }
photos=$1
shift
out=
case "${1-}" in
  "" | --*) out=$(mktemp -d) && echo "labels in $out" ;;
  *) out=$1 && shift ;;
esac
here=$(cd "$(dirname "$0")/../.." && pwd)
build=${BUILD:-$here/build/release}
[ -x "$build/survey_photos" ] || { echo "build the target survey_photos first" >&2; exit 2; }
mkdir -p "$out"
"$build/survey_photos" "$photos/damaged" "$photos/clean" --out "$out/labels" \
  --confidence "$out/confidence" --findings "$out/findings.csv" "$@" > "$out/survey.txt" ||
  echo "some photos were refused, see $out/survey.txt" >&2
tail -n 1 "$out/survey.txt"
score=${SCORE:-$photos/../tools/score.py}
if [ -f "$score" ]; then
  python=/usr/bin/python3
  [ -x "$python" ] || python=python3
  "$python" "$score" "$photos/truth" "$out/labels" > "$out/score.txt"
  sed -n '/^  copper-salt/,$p' "$out/score.txt"
fi
