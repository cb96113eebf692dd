#!/bin/sh
# One part of a night's builds, for a build server's matrix or the pods of a Kubernetes Job:
#
#   sh recipes/nightly/nightly.sh INDEX PARTS STORE NIGHT
#
# INDEX counts from 0, PARTS says how many there are. STORE is the URL of the store that all machines share. NIGHT is a folder
# that all parts of this night write their summaries to and no other night does; the part that ends last finds all of them
# there and joins them. Where the machines share no folder, keep NIGHT/part-*.json of each and join them in a last step:
#
#   panelwright merge-summary -o summary.xml -o summary.md part-*.json
#
# From outside come RECIPES (recipes), OUT (build) and, unless the user's cache folder stays, RECORDS. It ends with the code of
# the program: 0 good, 1 findings, 2 a recipe or an input is wrong, 3 the machine failed: only then is it worth another try.
set -eu

if [ $# -ne 4 ]; then
    echo "usage: sh nightly.sh INDEX PARTS STORE NIGHT" >&2
    exit 2
fi
index=$1 parts=$2 store=$3 night=$4

rm -f "$night/part-$index.json" # of an earlier try
code=0
panelwright build --part "$index/$parts" --store "$store" -o "${OUT:-build}" ${RECORDS:+--records "$RECORDS"} \
    --summary "$night/part-$index.json" --summary "$night/part-$index.xml" "${RECIPES:-recipes}" || code=$?
[ -f "$night/part-$index.json" ] || exit "$code" # it was not called rightly

set --
i=0
while [ "$i" -lt "$parts" ]; do
    [ -f "$night/part-$i.json" ] || exit "$code" # another part joins them
    set -- "$@" "$night/part-$i.json"
    i=$((i + 1))
done
exec panelwright merge-summary -o "$night/summary.json" -o "$night/summary.xml" -o "$night/summary.md" "$@"
