#!/bin/sh
# The design rules as a gate: run it from the folder where the parameter files are checked out.
#
#   check-boards.sh FILE…      boards that must be free of errors and of warnings
#
# It leaves, in the folder REPORTS (default: reports): findings.sarif for front ends that show findings
# at the line, and summary.md for the page of the run. Its exit status is that of the check: 0 passes.
set -u
reports=${REPORTS:-reports}
mkdir -p "$reports"
boardgen check --strict --format sarif "$@" > "$reports/findings.sarif"
boardgen check --strict --format markdown "$@" > "$reports/summary.md" 2> /dev/null
# Last, for people: its status decides.
boardgen check --strict "$@"
