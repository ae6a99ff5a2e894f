#!/usr/bin/env bash
# Refresh the vendored browser files by name and version from the npm client, and check their sha256.
#   scripts/vendor.sh           fetch the versions written in the VENDOR.txt files; fail if a sha256 differs
#   scripts/vendor.sh --update  the same, but write the new sha256 (after changing a version in VENDOR.txt)
# A line of VENDOR.txt: name version licence source-in-package target sha256 (icons.svg is built from the named icons).
set -euo pipefail
cd "$(dirname "$0")/.."

icons="arrow-left arrow-right check chevron-down circle-alert circle-check download info menu plus printer search
triangle-alert undo-2 upload user x"
update="${1:-}"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

sprite() { # folder of single icons -> one sprite of symbols on stdout
  echo '<svg xmlns="http://www.w3.org/2000/svg"><!-- Lucide icons, ISC licence: vendor/lucide-LICENSE.txt -->'
  for icon in $icons; do
    printf '<symbol id="%s" viewBox="0 0 24 24">' "$icon"
    sed -e '1,/^>$/d' -e '/^<\/svg>$/d' -e 's/^ *//' "$1/$icon.svg" | tr -d '\n'
    echo '</symbol>'
  done
  echo '</svg>'
}

fetch() { # name version source target: the fresh file replaces the target
  local folder="$work/${1//\//_}-$2"
  if [ ! -d "$folder" ]; then
    mkdir -p "$folder"
    (cd "$folder" && npm pack --silent "$1@$2" >/dev/null && tar xzf ./*.tgz)
  fi
  if [ -d "$folder/package/$3" ]; then sprite "$folder/package/$3" >"$4"; else cp "$folder/package/$3" "$4"; fi
}

failed=0
for list in static/vendor/VENDOR.txt tests/browser/vendor/VENDOR.txt; do
  while read -r name version licence source target sum; do
    case "$name" in '' | '#'*) continue ;; esac
    fetch "$name" "$version" "$source" "$work/fresh"
    now=$(sha256sum "$work/fresh" | cut -d' ' -f1)
    if [ "$now" != "${sum:-}" ]; then
      if [ "$update" != --update ]; then
        echo "$target: $name $version has sha256 $now, $list says ${sum:-nothing}" >&2
        failed=1
        continue
      fi
      sed -i "s|^$name [^ ]* [^ ]* [^ ]* $target.*|$name $version $licence $source $target $now|" "$list"
    fi
    cp "$work/fresh" "$target"
    echo "$target: $name $version ok"
  done <"$list"
done
exit "$failed"
