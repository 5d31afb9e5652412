// How many cases lie in one layer on a pallet.
#pragma once

namespace loftledger::planning {

// The most cases of l by w that lie flat side by side on a pallet of length by width, either way
// round, edges parallel, none over the edge. All are more than 0 and in one unit.
//
// Cuts the layer into blocks, again and again: by one straight cut, or by the five blocks of a
// pinwheel. That is at least as good as every pattern of two blocks; among all pallets and boxes
// with up to 100 boxes a layer the five-block recursion misses the best known by one box in about
// one case of 440 (Martins and Dell, European Journal of Operational Research 184, 2008). A layer
// too fine for that work gets the best pattern of two blocks.
int cases_in_layer(double length, double width, double l, double w);

// The best pattern of at most two blocks, in each of which all cases lie the same way round.
int cases_in_two_blocks(double length, double width, double l, double w);

// How many whole times the part goes into the whole, forgiving the last bits of a unit conversion.
int whole_times(double whole, double part);

}  // namespace loftledger::planning
