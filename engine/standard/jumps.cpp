// Functions that are no calls: of their branches only the one that counts is calculated.
#include "engine/standard/registry.hpp"

namespace loftledger::standard {

namespace {

constexpr StandardFunction kFunctions[] = {
    {"CHOOSE", nullptr, 2, 255, "v", Group::small},
    {"IF", nullptr, 1, 3, "v", Group::small},
    {"IFERROR", nullptr, 2, 2, "v", Group::large},
    {"IFNA", nullptr, 2, 2, "v", Group::large},
};

}  // namespace

StandardFunctions jump_functions() { return kFunctions; }

}  // namespace loftledger::standard
