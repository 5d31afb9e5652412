#!/usr/bin/env bash
# Builds the program and calculates the plan of the example shop, without the office suite.
. "$(dirname "$0")/../cmake/shell.sh"

stage "Looking for what is missing" install_missing "${program_packages[@]}"
stage "Configuring" cmake --preset program
stage "Building the program" cmake --build --preset program

book=examples/quillfeather-store-plan.fods
calculated=build/quillfeather-store-plan.ods
say
say "The plan of Quillfeather Toy Bench, an invented shop (demo data):"
say
build/release/loftledger calc "$book" -o "$calculated"
say
say "The calculated workbook is $calculated. To try another case price:"
say "  build/release/loftledger calc $book --set freight_charge=180"
