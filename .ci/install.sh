# Sourced by samples/demo.sh and tests/run.sh: installs what .ci/packages.txt lists and is not there yet. Needs Debian 12, and root or
# sudo only when something is missing.

verdigrid_missing_packages() {
  local package
  while read -r package; do
    case $package in '' | '#'*) continue ;; esac
    dpkg-query -W -f '${db:Status-Abbrev}' "$package" 2>/dev/null | grep -q '^.i' || echo "$package"
  done <"$1"
}

# verdigrid_install ROOT
verdigrid_install() {
  local missing as_root=()
  mapfile -t missing < <(verdigrid_missing_packages "$1/.ci/packages.txt")
  [ ${#missing[@]} -gt 0 ] || return 0
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null; then
      echo "Missing Debian packages: ${missing[*]}" >&2
      echo "Install them as root (apt-get install --no-install-recommends ...) and run this again." >&2
      return 1
    fi
    as_root=(sudo)
  fi
  echo "Installing Debian packages: ${missing[*]}" >&2
  "${as_root[@]}" apt-get update -q &&
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends "${missing[@]}"
}
