#!/usr/bin/env bash
# Builds the program and calculates the plan of the example shop, without the office suite.
. "$(dirname "$0")/../cmake/shell.sh"

stage "Looking for what is missing" install_missing program
stage "Configuring" cmake --preset program
stage "Building the program" cmake --build --preset program

book=examples/quillfeather-store-plan.fods
calculated=build/quillfeather-store-plan.ods
say
say "The plan of Quillfeather Toy Bench, an invented shop (demo data):"
say
# The page that the book itself has for printing; the sheets behind it are many lines more.
build/release/loftledger calc "$book" -o "$calculated" | sed '/^Yields$/,$d'
say "The whole calculated workbook is $calculated. For all results, with another freight:"
say "  build/release/loftledger calc $book --set freight_charge=180"
