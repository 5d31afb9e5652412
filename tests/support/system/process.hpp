// Runs another program with a time limit.
#pragma once

#include <sys/types.h>
#include <chrono>
#include <functional>
#include <string>
#include <vector>

namespace loftledger::support {

struct Finished {
  bool timed_out = false;
  int exit_code = -1;  // -1 where it did not end by itself
  std::string output;  // both streams, as they came

  bool ok() const { return !timed_out && exit_code == 0; }
};

// A program of ours and its children, in a process group of their own. The destructor ends what is
// still running of them, and nothing else.
class Process {
 public:
  explicit Process(const std::vector<std::string>& words);
  ~Process();
  Process(const Process&) = delete;
  Process& operator=(const Process&) = delete;

  // Looks every few milliseconds; `watch` is called each time.
  Finished wait(std::chrono::milliseconds limit, const std::function<void()>& watch = {});
  // True where a process of the group has mapped a file of that name.
  bool has_mapped(const std::string& file_name) const;
  bool running();
  // Ends it after that time, wherever it is; false where it had ended before.
  bool kill_after(std::chrono::microseconds time);

 private:
  void end();
  pid_t group_ = -1;
  int status_ = -1;
  bool ended_ = false;
  std::string output_path_;
};

// Starts it and waits.
Finished run(const std::vector<std::string>& words, std::chrono::milliseconds limit);

}  // namespace loftledger::support
