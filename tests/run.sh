#!/usr/bin/env bash
# Installs what is missing, builds with warnings as errors, checks the formatting, runs clang-tidy
# for at most a few minutes, then all tests. Arguments go to ctest: tests/run.sh -L fast
set -euo pipefail
root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cd "$root"
# shellcheck source=/dev/null
. .ci/install.sh
verdigrid_install "$root"

jobs=$(nproc)
failed=()

cmake --preset ci
cmake --build --preset ci -j "$jobs"

sources() { find src tests -type f \( -name '*.cpp' -o -name '*.h' \) -print0 | sort -z; }
if ! sources | xargs -0 clang-format --dry-run --Werror; then
  failed+=("clang-format (mend with: clang-format -i FILE)")
fi

# clang-tidy reads every source with all its headers, seconds each. What is not reached in the time
# is said. Its findings are printed and do not fail the run: not every folder has been gone through
# yet. VERDIGRID_TIDY_S=0 leaves it out.
tidy_s=${VERDIGRID_TIDY_S:-240}
if [ "$tidy_s" -gt 0 ]; then
  tidy_log=$(mktemp)
  tidy_status=0
  find src -name '*.cpp' -print0 | sort -z |
    timeout "$tidy_s" xargs -0 -n 1 -P "$jobs" clang-tidy -p build/ci --quiet \
        --extra-arg-before=-include "--extra-arg-before=$root/tests/house/clang_14.h" \
      >"$tidy_log" 2>/dev/null || tidy_status=$?
  [ "$tidy_status" -ne 124 ] || echo "clang-tidy: stopped after $tidy_s s, before the last files."
  grep ' warning: ' "$tidy_log" | sort -u || echo "clang-tidy: no findings in what it read."
  rm -f "$tidy_log"
fi

[ ${#failed[@]} -eq 0 ] || printf 'Failed before the tests: %s\n' "${failed[@]}" >&2
ctest --test-dir build/ci --output-on-failure -j "$jobs" "$@" || failed+=("tests")
[ ${#failed[@]} -eq 0 ]
