// Functions that are no calls: of their branches only the one that counts is calculated.
#include "engine/standard/logic/functions.hpp"

namespace loftledger::standard {

namespace {

constexpr StandardFunction kFunctions[] = {
    with_role(Role::choice,
              {"CHOOSE", nullptr, 1, 31, "v", Group::small, false, 1, Counting::branches}),
    with_role(Role::condition, {"IF", nullptr, 1, 3, "v", Group::small}),
    with_role(Role::error_branch, meeting_errors({"IFERROR", nullptr, 2, 2, "v", Group::large})),
    with_role(Role::missing_branch, meeting_errors({"IFNA", nullptr, 2, 2, "v", Group::large})),
};

}  // namespace

StandardFunctions jump_functions() { return kFunctions; }

}  // namespace loftledger::standard
