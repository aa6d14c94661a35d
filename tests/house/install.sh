#!/usr/bin/env bash
# Installs the built program into an empty folder, and unpacks its Debian package into another; runs both there, away from the sources,
# and checks what a desktop and the shells need.
#
#   install.sh BUILD_FOLDER PHOTO
set -euo pipefail  # so no "| grep -q": it leaves early, and the writer dies of the broken pipe
build=$(realpath "$1")
photo=$(realpath "$2")
there=$(mktemp -d)
trap 'rm -rf "$there"' EXIT
cd "$there"

fail() { echo "$1" >&2; exit 1; }

works() {  # ROOT: bin and share below it
  local bin=$1/bin/verdigrid
  grep -q '^verdigrid [0-9]' <<<"$("$bin" --version)" || fail "$bin does not say its version"
  "$bin" survey "$photo" --setting show-more -o "$1.survey" >"$1.summary" 2>"$1.messages"
  ! grep -q 'first method' "$1.messages" || fail "the installed program does not find its model"
  "$bin" report "$1.survey" --photo "$photo" -o "$1.html" 2>/dev/null || fail "the installed program writes no report"
  [ -x "$1/libexec/verdigrid/verdigrid-heic" ] || fail "the HEIC helper is not installed"
  [ -e "$1/share/verdigrid/shaders/photo.frag" ] || fail "the shaders are not installed"
  local page=$1/share/man/man1/verdigrid.1
  grep -q '^\.SS verdigrid survey PHOTO$' "$page" || fail "the manual page lacks a subcommand with what it takes"
  grep -q '^\.B \\-o, \\-\\-out FOLDER$' "$page" || fail "the manual page lacks the letter of an option"
  [ -e "$1/share/applications/verdigrid.desktop" ] || fail "there is no desktop entry"
}

cmake --install "$build" --prefix "$there/installed" >/dev/null
works "$there/installed"

desktop-file-validate installed/share/applications/verdigrid.desktop
offered=$(bash -c 'source installed/share/bash-completion/completions/verdigrid
  COMP_WORDS=(verdigrid jobbook rec); COMP_CWORD=2; _verdigrid; echo "${COMPREPLY[*]}"')
[ "$offered" = receive ] || fail "bash offers \"$offered\" for: verdigrid jobbook rec"
zsh -n installed/share/zsh/vendor-completions/_verdigrid
fish --no-execute installed/share/fish/vendor_completions.d/verdigrid.fish
offered=$(fish -c 'source installed/share/fish/vendor_completions.d/verdigrid.fish; complete -C "verdigrid sur"')
grep -q '^survey' <<<"$offered" || fail "fish does not offer survey"

cpack --config "$build/CPackConfig.cmake" -G DEB -B "$there/package" >/dev/null
deb=$(echo package/*.deb)
grep -q libopencv <<<"$(dpkg-deb --field "$deb" Depends)" || fail "the package does not say what it depends on"
dpkg-deb -x "$deb" unpacked
works "$there/unpacked/usr"
echo "installed, packaged and run"
