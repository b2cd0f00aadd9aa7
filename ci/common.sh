# Shared by the scripts of this folder; to be sourced. Sets the folder, the build defaults and
# the compiler cache.
set -euo pipefail
ROOT=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cd "$ROOT"
JOBS=${JOBS:-$(nproc)}
export CCACHE_BASEDIR=$ROOT CCACHE_NOHASHDIR=1

say() { printf '\n== %s\n' "$*" >&2; }

# configure DIR [cmake options]: Ninja, compiler cache and a fast linker where they are there.
configure() {
  local dir=$1
  shift
  local extra=()
  if command -v ccache >/dev/null; then
    extra+=(-DCMAKE_CXX_COMPILER_LAUNCHER=ccache)
  fi
  if command -v mold >/dev/null; then
    extra+=(-DCMAKE_EXE_LINKER_FLAGS=-fuse-ld=mold)
  fi
  cmake -S "$ROOT" -B "$dir" -G Ninja "${extra[@]}" "$@" >"$dir.configure.log" 2>&1 || {
    cat "$dir.configure.log" >&2
    return 1
  }
}
