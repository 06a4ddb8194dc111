# Sourced, never run: how the scripts beside it look at the machine and add what is missing.
# Only Debian and its children are installed on; elsewhere one sentence says what is needed.

say() { printf '%s\n' "$*"; }

fail() {
  printf '%s\n' "$*" >&2
  exit 1
}

as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    "$@"
  else
    sudo -n "$@"
  fi
}

may_install() {
  command -v apt-get >/dev/null || return 1
  [ "$(id -u)" -eq 0 ] || { command -v sudo >/dev/null && sudo -n true 2>/dev/null; }
}

# install_for PURPOSE PACKAGE...
install_for() {
  local purpose=$1
  shift
  may_install || fail "$purpose missing: please install $* (on Debian: apt-get install $*), then run this again."
  say "Installing for $purpose: $*"
  # A fresh machine has no package lists, and one that has them may have old ones.
  as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq update </dev/null ||
    say "apt-get update did not succeed; trying with the package lists at hand."
  as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq install -y --no-install-recommends "$@" </dev/null >/dev/null ||
    fail "$purpose could not be installed: apt-get install $* failed."
}

# The newest interpreter is not wanted: the first that is new enough is.
find_python() {
  local name
  for name in "${PYTHON:-}" python3 python3.11 python3.12 python3.13; do
    if [ -n "$name" ] && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
      command -v "$name"
      return
    fi
  done
  return 1
}

find_chromium() {
  local name
  for name in chromium chromium-browser; do
    command -v "$name" && return
  done
  return 1
}

find_postgres() {
  local folder
  for folder in $(printf '%s\n' /usr/lib/postgresql/*/bin | sort -t/ -k5,5nr); do
    [ -x "$folder/initdb" ] && [ -x "$folder/pg_ctl" ] && { say "$folder"; return; }
  done
  command -v initdb >/dev/null && dirname "$(command -v initdb)"
}
