// The component is loaded when a cell first calls it, and never before.
#include <gtest/gtest.h>

#include "tests/office/session.hpp"

namespace loftledger::office {
namespace {

TEST(OfficeLoading, ADocumentWithoutPlanningFunctionsLoadsNothingOfOurs) {
  ASSERT_EQ(Session::get().problem(), "");
  EXPECT_FALSE(Session::get().loaded_without_functions());
}

// The proof that the look at the office's memory would have seen it.
TEST(OfficeLoading, ADocumentWithPlanningFunctionsLoadsTheComponent) {
  ASSERT_EQ(Session::get().problem(), "");
  EXPECT_TRUE(Session::get().loaded_with_functions());
}

}  // namespace
}  // namespace loftledger::office
