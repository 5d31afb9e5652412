// How the program replaces a file: the old one or the new one is there, whole, whatever happens.
#include <fmt/format.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <fstream>
#include <iterator>
#include <random>

#include "tests/support/system/files.hpp"
#include "tests/support/system/process.hpp"

namespace loftledger::support {
namespace {

namespace fs = std::filesystem;

constexpr std::chrono::minutes kLimit{10};

std::string contents(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// Rows of numbers and formulas, enough that writing them takes a while.
std::string big_book() {
  std::string out =
      "<office:document xmlns:office='urn:oasis:names:tc:opendocument:xmlns:office:1.0' "
      "xmlns:table='urn:oasis:names:tc:opendocument:xmlns:table:1.0' "
      "xmlns:text='urn:oasis:names:tc:opendocument:xmlns:text:1.0' office:version='1.3'>"
      "<office:body><office:spreadsheet><table:table table:name='S'>";
  constexpr int kRows = 8000;
  for (int i = 1; i <= kRows; ++i) {
    out += fmt::format(
        "<table:table-row><table:table-cell office:value-type='float' office:value='{0}.25'/>"
        "<table:table-cell table:formula='of:=[.A{0}]*[.$A$1]+SIN([.A{0}])'/>"
        "<table:table-cell table:formula='of:=[.B{0}]/7'/></table:table-row>",
        i);
  }
  return out + "</table:table></office:spreadsheet></office:body></office:document>";
}

class Replace : public testing::Test {
 protected:
  static std::vector<std::string> calc(const fs::path& book, const std::string& set,
                                       const fs::path& target) {
    return {LOFTLEDGER_PROGRAM, "calc", book, "--set", "S.A1=" + set, "-o", target};
  }
  void SetUp() override {
    write_file(folder_.path() / "big.fods", big_book());
    ASSERT_TRUE(run(calc(folder_.path() / "big.fods", "2", book()), kLimit).ok());
    old_ = contents(book());
    ASSERT_TRUE(old_.starts_with("PK"));
  }
  fs::path book() const { return folder_.path() / "big.ods"; }
  fs::path place() const {
    fs::create_directories(folder_.path() / "place");
    return folder_.path() / "place";
  }
  // One line that says what is wrong, and exit code 2.
  static void expect_complaint(const Finished& done, const std::string& words) {
    EXPECT_EQ(done.exit_code, 2) << done.output;
    EXPECT_EQ(std::count(done.output.begin(), done.output.end(), '\n'), 1) << done.output;
    EXPECT_TRUE(done.output.starts_with("loftledger: ")) << done.output;
    EXPECT_NE(done.output.find(words), std::string::npos) << done.output;
  }
  static std::vector<std::string> names_in(const fs::path& folder) {
    std::vector<std::string> out;
    for (const auto& entry : fs::directory_iterator(folder)) out.push_back(entry.path().filename());
    std::sort(out.begin(), out.end());
    return out;
  }

  TemporaryFolder folder_;
  std::string old_;
};

TEST_F(Replace, KilledAtAnyMomentLeavesTheOldFileOrTheNewOne) {
  const fs::path target = place() / "plan.ods";
  write_file(target, old_);
  // The shortest of three: a run that others on the machine held up would put the moments too late.
  std::chrono::duration<double> whole = kLimit;
  for (int i = 0; i < 3; ++i) {
    const auto start = std::chrono::steady_clock::now();
    ASSERT_TRUE(run(calc(target, "3", target), kLimit).ok());
    whole =
        std::min(whole, std::chrono::duration<double>(std::chrono::steady_clock::now() - start));
  }
  const std::string changed = contents(target);
  ASSERT_NE(changed, old_);
  constexpr int kTimes = 60;
  constexpr int kMostTimes = 2000;
  constexpr int kEnough = kTimes / 6;
  constexpr unsigned kSeed = 20;
  std::mt19937 random(kSeed);
  int killed = 0;
  int unfinished = 0;
  for (int i = 0; i < kTimes || (std::min(killed, unfinished) < kEnough && i < kMostTimes); ++i) {
    write_file(target, old_);
    // Writing is the later part of a run: two of three moments lie there.
    const double first = i % 3 == 0 ? 0 : 0.4;
    const double at = std::uniform_real_distribution(first, 1.1)(random);
    Process process(calc(target, "3", target));
    const bool in_time =
        process.kill_after(std::chrono::duration_cast<std::chrono::microseconds>(at * whole));
    killed += in_time ? 1 : 0;
    // The machine may be quicker or slower than it was: most runs are to be killed, and some of
    // them just before their end.
    whole *= in_time ? 1.03 : 0.9;
    const std::string now = contents(target);
    ASSERT_TRUE(now == old_ || now == changed) << "after " << at << " of a run";
    unfinished += now == old_ ? 1 : 0;
  }
  EXPECT_GE(killed, kEnough);
  EXPECT_GE(unfinished, kEnough);
  // What may be left of a draft is hidden, and nobody takes it for a workbook.
  for (const std::string& name : names_in(target.parent_path())) {
    if (name == "plan.ods") continue;
    EXPECT_TRUE(name.starts_with(".plan.ods.")) << name;
    EXPECT_FALSE(name.ends_with(".ods")) << name;
  }
  write_file(target, old_);
  EXPECT_TRUE(run(calc(target, "3", target), kLimit).ok());
  EXPECT_TRUE(contents(target) == changed);
}

TEST_F(Replace, LeavesNothingBesideTheTarget) {
  const fs::path target = place() / "plan.ods";
  ASSERT_TRUE(run(calc(book(), "3", target), kLimit).ok());
  ASSERT_TRUE(run(calc(target, "4", target), kLimit).ok());
  EXPECT_EQ(names_in(target.parent_path()), std::vector<std::string>{"plan.ods"});
}

// The system allows no file of that size, as if the disk were full.
TEST_F(Replace, WithoutRoomSaysSoAndKeepsTheOldFile) {
  const fs::path target = place() / "plan.ods";
  write_file(target, old_);
  const Finished done = run({"/bin/sh", "-c", "ulimit -f 8; exec \"$@\"", "sh", LOFTLEDGER_PROGRAM,
                             "calc", target, "--set", "S.A1=3", "-o", target},
                            kLimit);
  expect_complaint(done, target.string() + ": cannot be written: ");
  EXPECT_TRUE(contents(target) == old_);
  EXPECT_EQ(names_in(target.parent_path()), std::vector<std::string>{"plan.ods"});
}

TEST_F(Replace, WhereNobodyMayWriteSaysSo) {
  // Not even an administrator makes files there.
  expect_complaint(run(calc(book(), "3", "/proc/plan.ods"), kLimit),
                   "/proc/plan.ods: cannot be written: ");
  expect_complaint(run(calc(book(), "3", folder_.path() / "none" / "plan.ods"), kLimit),
                   "plan.ods: cannot be written: No such file or directory");
  fs::create_directory(place() / "plan.ods");
  expect_complaint(run(calc(book(), "3", place() / "plan.ods"), kLimit),
                   "plan.ods: is no file that can be replaced");
}

TEST_F(Replace, InAFolderWithoutTheRightKeepsTheOldFile) {
  const fs::path target = place() / "plan.ods";
  write_file(target, old_);
  ASSERT_EQ(chmod(place().c_str(), 0555), 0);
  const Finished done = run(calc(book(), "3", target), kLimit);
  chmod(place().c_str(), 0755);
  if (geteuid() == 0) {  // who may write everywhere
    EXPECT_TRUE(done.ok()) << done.output;
    EXPECT_FALSE(contents(target) == old_);
  } else {
    expect_complaint(done, "cannot be written: Permission denied");
    EXPECT_TRUE(contents(target) == old_);
  }
}

TEST_F(Replace, FollowsLinks) {
  fs::create_directory(place() / "real");
  const fs::path real = place() / "real" / "plan.ods";
  write_file(real, old_);
  fs::create_symlink("real/plan.ods", place() / "near.ods");
  fs::create_symlink(place() / "near.ods", place() / "far.ods");
  fs::create_symlink("real/new.ods", place() / "dangling.ods");
  ASSERT_TRUE(run(calc(book(), "3", place() / "far.ods"), kLimit).ok());
  EXPECT_TRUE(fs::is_symlink(place() / "far.ods"));
  EXPECT_TRUE(fs::is_symlink(place() / "near.ods"));
  EXPECT_FALSE(contents(real) == old_);
  ASSERT_TRUE(run(calc(book(), "3", place() / "dangling.ods"), kLimit).ok());
  EXPECT_TRUE(fs::is_symlink(place() / "dangling.ods"));
  EXPECT_TRUE(contents(place() / "real" / "new.ods") == contents(real));
  fs::create_symlink("round.ods", place() / "round.ods");
  expect_complaint(run(calc(book(), "3", place() / "round.ods"), kLimit), "round.ods: ");
  EXPECT_TRUE(fs::is_symlink(place() / "round.ods"));
}

TEST_F(Replace, KeepsPermissions) {
  const auto permissions = [](const fs::path& path) {
    return static_cast<unsigned>(fs::status(path).permissions());
  };
  const fs::path target = place() / "plan.ods";
  for (const unsigned mode : {0640U, 0604U, 0666U}) {
    write_file(target, old_);
    ASSERT_EQ(chmod(target.c_str(), mode), 0);
    ASSERT_TRUE(run(calc(book(), "3", target), kLimit).ok());
    EXPECT_EQ(permissions(target), mode);
  }
  // A new file gets what any new file gets.
  const fs::path other = place() / "other.ods";
  ASSERT_TRUE(run(calc(book(), "3", other), kLimit).ok());
  write_file(place() / "plain", "");
  EXPECT_EQ(permissions(other), permissions(place() / "plain"));
}

}  // namespace
}  // namespace loftledger::support
