#!/bin/sh
# Recalculates every field sheet of a folder and keeps the results as JSON.
#
# Run:     examples/recalculate-folder.sh [FOLDER [RESULTS]]
#          (demo-data and results without them). The program is looked for as
#          alleytrue on the path; ALLEYTRUE=target/debug/alleytrue names another.
# Writes:  RESULTS/NAME.json for each FOLDER/NAME.toml, mistakes included.
# Prints:  one line per sheet: its exit code, a tab, its name.
# Ends:    0 all done; 1 done, and a check asked for did not hold; 2 a sheet
#          could not be calculated. A bad sheet does not stop the others.

folder=${1:-demo-data}
results=${2:-results}
program=${ALLEYTRUE:-alleytrue}

if ! command -v "$program" >/dev/null 2>&1; then
    echo "$program: no such program; set ALLEYTRUE" >&2
    exit 2
fi
mkdir -p -- "$results" || exit 2

worst=0
found=0
for sheet in "$folder"/*.toml; do
    [ -f "$sheet" ] || continue
    found=1
    name=${sheet##*/}
    "$program" calibrate --format json -- "$sheet" >"$results/${name%.toml}.json"
    code=$?
    printf '%s\t%s\n' "$code" "$name"
    [ "$code" -le 2 ] || code=2
    [ "$code" -le "$worst" ] || worst=$code
done
if [ "$found" -eq 0 ]; then
    echo "$folder: no .toml file in this folder" >&2
    exit 2
fi
exit "$worst"
