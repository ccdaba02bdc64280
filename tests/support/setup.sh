#!/usr/bin/env bash
# Installs what is missing on a Debian 12 and prints what it installs; what is there already is skipped.
#
#   bash tests/support/setup.sh program   what the program needs (scenarios/demo.sh)
#   bash tests/support/setup.sh tests     also what its tests need, with a browser (tests/all.sh)
#   bash tests/support/setup.sh slow      also what the tests under the label slow need: a second compiler, lint, format,
#                                         pandas, a compiler for WebAssembly
set -euo pipefail

# Each entry is TOOL:PACKAGE. A tool counts as there when it can be called, wherever it came from.
PROGRAM_TOOLS=(g++:g++ cmake:cmake ninja:ninja-build pkg-config:pkg-config ccache:ccache)
PROGRAM_PACKAGES=(libeigen3-dev libboost-dev libspdlog-dev libfmt-dev libtomlplusplus-dev nlohmann-json3-dev
                  libcli11-dev libtbb-dev librandom123-dev libsleef-dev libsodium-dev
                  libsqlite3-dev libzip-dev libnlopt-dev libnlopt-cxx-dev)
TEST_TOOLS=(git:git vcd2fst:gtkwave sigrok-cli:sigrok-cli arm-none-eabi-g++:gcc-arm-none-eabi
            qemu-system-arm:qemu-system-arm ogrinfo:gdal-bin
            chromium:chromium chromedriver:chromium-driver node:nodejs npm:npm)
TEST_PACKAGES=(libgtest-dev libgmock-dev libbenchmark-dev python3-junitparser libopenmpi-dev openmpi-bin
               libstdc++-arm-none-eabi-newlib)
# Debian 12's default clang is version 14, whose tools fail on the ranges of libstdc++ 12.
SLOW_TOOLS=(clang++-19:clang-19 llvm-cov-19:llvm-19 jq:jq clang-format-19:clang-format-19 clang-tidy-19:clang-tidy-19
            wasm-ld-19:lld-19)
SLOW_PACKAGES=(python3-pandas wasi-libc libc++-19-dev-wasm32 libc++abi-19-dev-wasm32 libclang-rt-19-dev-wasm32)
# Checks web pages for who does not see or cannot use a mouse; npm's registry has it, Debian has not.
AXE=axe-core@4.14.1

tools=("${PROGRAM_TOOLS[@]}")
packages=("${PROGRAM_PACKAGES[@]}")
case "${1:-}" in
  program) ;;
  tests) tools+=("${TEST_TOOLS[@]}"); packages+=("${TEST_PACKAGES[@]}") ;;
  slow) tools+=("${TEST_TOOLS[@]}" "${SLOW_TOOLS[@]}"); packages+=("${TEST_PACKAGES[@]}" "${SLOW_PACKAGES[@]}") ;;
  *) echo "usage: bash tests/support/setup.sh program|tests|slow" >&2; exit 2 ;;
esac

is_installed() {
  [ "$(dpkg-query -W -f='${db:Status-Status}' "$1" 2>/dev/null)" = installed ]
}

# A test that drives a browser does without it, so no network for npm is no failure.
get_axe() {
  [ -e build/browser/node_modules/axe-core ] || ! command -v npm >/dev/null 2>&1 && return 0
  mkdir -p build/browser
  npm install --prefix build/browser --no-save --no-audit --no-fund --silent "$AXE" ||
    echo "setup: npm could not fetch $AXE; the pages are checked without it" >&2
}

missing=()
for tool in "${tools[@]}"; do
  command -v "${tool%%:*}" >/dev/null 2>&1 || missing+=("${tool##*:}")
done
for package in "${packages[@]}"; do
  is_installed "$package" || missing+=("$package")
done
if [ "${#missing[@]}" -eq 0 ]; then
  echo "setup: everything is there, nothing to install"
  if [ "$1" != program ]; then get_axe; fi
  exit 0
fi

if ! command -v apt-get >/dev/null 2>&1; then
  echo "setup: this machine has no apt-get; install these yourself (names as in Debian 12): ${missing[*]}" >&2
  exit 1
fi
as_root=()
if [ "$(id -u)" -ne 0 ]; then
  if ! command -v sudo >/dev/null 2>&1; then
    echo "setup: not root and no sudo here; have somebody run: apt-get install --no-install-recommends ${missing[*]}" >&2
    exit 1
  fi
  as_root=(sudo)
fi

# apt-get waits for the lock of another package run, and asks a package mirror that fails again.
apt_get() {
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive LC_ALL=C.UTF-8 \
    apt-get -qq -o DPkg::Lock::Timeout=300 -o Acquire::Retries=3 -o Dpkg::Use-Pty=0 "$@"
}

echo "setup: installing ${#missing[@]} packages with apt${as_root:+ through sudo}: ${missing[*]}"
if ! apt_get update; then
  echo "setup: the package lists could not be fetched; is there a network?" >&2
  exit 1
fi
log=$(mktemp)
trap 'rm -f "$log"' EXIT
if ! apt_get install -y --no-install-recommends "${missing[@]}" >"$log" 2>&1; then
  tail -n 30 "$log" >&2
  echo "setup: apt could not install them; its last lines are above" >&2
  exit 1
fi
if [ "$1" != program ]; then get_axe; fi
echo "setup: done"
