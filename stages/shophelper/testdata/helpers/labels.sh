#!/bin/sh
# Leaves a table of what the label printer prints, one row a copy. The panel comes as JSON on standard input; all that is wanted
# of it is each copy's id and board, which stand side by side as {"id":"A1","board":"probe", … and nowhere else.
set -eu
tr '{' '\n' | sed -n 's/^"id":"\([^"]*\)","board":"\([^"]*\)".*/\1,\2/p' >copies
{
	echo "copy,board,lot"
	while IFS= read -r row; do
		echo "$row,$1"
	done <copies
} >labels.csv
echo '{"contract": 1, "log": ["labels for '"$(wc -l <copies | tr -d ' ')"' copies"]}'
