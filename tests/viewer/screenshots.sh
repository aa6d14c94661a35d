#!/bin/sh
# Pictures of every step of the window on a demo board, to be looked at: 1280x800 and 1920x1080, dark and
# light, at one and two times the scale.
#   tests/viewer/screenshots.sh PROGRAM FOLDER
# Needs Xvfb, xdotool, xwd and convert (.ci/packages.txt).
set -eu
program=$1
out=$2
source=$(cd "$(dirname "$0")/../.." && pwd)
mkdir -p "$out"
work=$(mktemp -d)
server=
window=
finish() {
  [ -z "$window" ] || kill "$window" 2>/dev/null || true
  [ -z "$server" ] || kill "$server" 2>/dev/null || true
  rm -rf "$work"
}
trap finish EXIT INT TERM

keys() { for k in "$@"; do xdotool key --clearmodifiers "$k"; sleep 0.25; done; }
click() { xdotool mousemove "$1" "$2" sleep 0.15 mousedown 1 sleep 0.12 mouseup 1 sleep 0.3; }
shot() {
  sleep 1
  xwd -silent -root | convert xwd:- "$out/$1.png"
}

# SIZE DPI NAME TONE
session() {
  rm -rf "$work/home" "$work/display"
  mkdir -p "$work/home"
  Xvfb -displayfd 3 -screen 0 "$1x24" -dpi "$2" -nolisten tcp 3>"$work/display" 2>/dev/null &
  server=$!
  while [ ! -s "$work/display" ]; do sleep 0.1; done
  DISPLAY=":$(cat "$work/display")"
  export DISPLAY HOME="$work/home" XDG_DATA_HOME="$work/home/data" XDG_CONFIG_HOME="$work/home/config"
  "$program" &
  window=$!
  while ! id=$(xdotool search --name Verdigrid 2>/dev/null); do sleep 0.2; done
  xdotool windowsize "$id" "${1%x*}" "${1#*x}" sleep 1
  [ "$4" = light ] && keys ctrl+t
  shot "$3-start"
  keys F1
  shot "$3-keys"
  kill "$window"
  wait "$window" 2>/dev/null || true
  "$program" "$source/samples/logger-main-front-arrival.jpg" &
  window=$!
  while ! id=$(xdotool search --name Verdigrid 2>/dev/null); do sleep 0.2; done
  xdotool windowsize "$id" "${1%x*}" "${1#*x}" sleep 1
  [ "$4" = light ] && keys ctrl+t
  sleep "${WAIT:-20}"
  shot "$3-look"
  keys y n 2 s
  xdotool type --delay 60 160
  keys Tab
  xdotool type --delay 60 110
  keys Return
  sleep "${WAIT:-20}"
  shot "$3-straighten"
  keys 1
  shot "$3-receive"
  keys 5 n
  sleep 3
  keys b f
  click 300 300
  click 600 500
  keys Escape
  sleep 3
  shot "$3-layout"
  keys 4
  sleep 3
  keys j
  shot "$3-survey"
  keys 6 p
  click 500 400
  shot "$3-notes"
  keys 7
  shot "$3-recheck"
  kill "$window" "$server"
  wait "$window" 2>/dev/null || true
  window= server=
}

for tone in ${TONES:-dark light}; do
  for size in ${SIZES:-1280x800 1920x1080}; do
    for scale in ${SCALES:-1 2}; do
      session "$size" $((96 * scale)) "$size-$tone-${scale}x" "$tone"
    done
  done
done
