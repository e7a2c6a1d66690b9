#!/usr/bin/env bash
# Installs what the tests run exported files through, and run jobs side by side with (Debian packages). Nothing to do where they are.
set -euo pipefail
packages=(lib3mf-dev g++ admesh prusa-slicer libxml2-utils unzip poppler-utils chromium parallel)
missing=()
for package in "${packages[@]}"; do
  dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' || missing+=("$package")
done
[ ${#missing[@]} -eq 0 ] && exit 0
if ! command -v apt-get >/dev/null; then
  echo "The tests need these (Debian package names): ${missing[*]}" >&2
  exit 1
fi
as_root=()
[ "$(id -u)" -eq 0 ] || as_root=(sudo)
"${as_root[@]}" apt-get update -q
DEBIAN_FRONTEND=noninteractive "${as_root[@]}" apt-get install -y -q --no-install-recommends "${missing[@]}"
