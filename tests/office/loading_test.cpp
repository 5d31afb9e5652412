// The component is loaded when a cell first calls it, and never before.
#include <gtest/gtest.h>

#include "tests/office/visit.hpp"

namespace loftledger::office {
namespace {

TEST(OfficeLoading, ADocumentWithoutPlanningFunctionsLoadsNothingOfOurs) {
  ASSERT_EQ(Visit::get().problem(), "");
  EXPECT_FALSE(Visit::get().loaded_without_functions());
}

// The proof that the look at the office's memory would have seen it.
TEST(OfficeLoading, ADocumentWithPlanningFunctionsLoadsTheComponent) {
  ASSERT_EQ(Visit::get().problem(), "");
  EXPECT_TRUE(Visit::get().loaded_with_functions());
}

}  // namespace
}  // namespace loftledger::office
