#!/usr/bin/env bash
# Trains one network on everything and one for each left-out fold, side by side on the GPUs of this machine: one go of a training.
#
#   side_by_side.sh BENCH OUT MINUTES A B SEED [options of train.py]
#
# A B is the part of the falling learning rate that this go runs, 0 1 for all of it. Where OUT/all.pt, OUT/0.pt, OUT/1.pt and OUT/2.pt
# are there from a go before, the training goes on from them (and --encoder does nothing). Two trainings share a GPU well, four do not:
# each then gets less than half the steps. PYTHON names the interpreter (python3). Prints the last lines of each; exit code 1 when
# one failed, see OUT/NAME.log.
set -u
[ $# -ge 6 ] || { sed -n '4,9s/^# \{0,1\}//p' "$0" >&2; exit 2; }
bench=$1 out=$2 minutes=$3 from=$4 to=$5 seed=$6
shift 6
here=$(cd "$(dirname "$0")" && pwd)
gpus=$(nvidia-smi -L 2>/dev/null | wc -l)
mkdir -p "$out"

names=(all 0 1 2) running=()
for i in "${!names[@]}"; do
  name=${names[i]}
  start=()
  [ ! -f "$out/$name.pt" ] || start=(--start "$out/$name.pt")
  [ "$gpus" -eq 0 ] || export CUDA_VISIBLE_DEVICES=$((i % gpus))
  "${PYTHON:-python3}" "$here/train.py" "$bench" "$out" --name "$name" --fold "$name" --minutes "$minutes" --schedule "$from" "$to" \
    --seed $((seed + i)) "${start[@]}" "$@" > "$out/$name.log" 2>&1 &
  running+=($!)
done

failed=0
for i in "${!names[@]}"; do
  wait "${running[i]}" || failed=1
  tail -n 2 "$out/${names[i]}.log"
done
exit $failed
