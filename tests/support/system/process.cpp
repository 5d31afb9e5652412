#include "tests/support/system/process.hpp"

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <thread>

namespace loftledger::support {

namespace fs = std::filesystem;

namespace {

constexpr std::chrono::milliseconds kPause{10};

std::string content_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

// The process group in /proc/<pid>/stat: the third field after the name in brackets.
pid_t group_of(const fs::path& process) {
  const std::string stat = content_of(process / "stat");
  const std::size_t name_end = stat.rfind(')');
  if (name_end == std::string::npos) return -1;
  std::istringstream fields(stat.substr(name_end + 1));
  std::string state;
  pid_t parent = 0;
  pid_t group = -1;
  fields >> state >> parent >> group;
  return group;
}

bool is_number(const std::string& name) {
  return name.find_first_not_of("0123456789") == std::string::npos;
}

}  // namespace

Process::Process(const std::vector<std::string>& words) {
  std::string name = (fs::temp_directory_path() / "loftledger-output-XXXXXX").string();
  const int file = mkstemp(name.data());
  if (file < 0) return;
  output_path_ = name;
  std::vector<char*> arguments;
  for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  group_ = fork();
  if (group_ == 0) {
    setpgid(0, 0);
    dup2(file, STDOUT_FILENO);
    dup2(file, STDERR_FILENO);
    execvp(arguments[0], arguments.data());
    _exit(127);
  }
  if (group_ > 0) setpgid(group_, group_);
  close(file);
}

Process::~Process() {
  end();
  if (!output_path_.empty()) std::remove(output_path_.c_str());
}

void Process::end() {
  if (group_ <= 0) return;
  kill(-group_, SIGKILL);
  if (!ended_) waitpid(group_, &status_, 0);
  ended_ = true;
}

bool Process::running() {
  if (group_ <= 0 || ended_) return false;
  ended_ = waitpid(group_, &status_, WNOHANG) == group_;
  return !ended_;
}

bool Process::kill_after(std::chrono::microseconds time) {
  std::this_thread::sleep_for(time);
  end();
  return WIFSIGNALED(status_) && WTERMSIG(status_) == SIGKILL;
}

Finished Process::wait(std::chrono::milliseconds limit, const std::function<void()>& watch) {
  Finished out;
  if (group_ <= 0) {
    out.output = "the program could not be started";
    return out;
  }
  const auto stop = std::chrono::steady_clock::now() + limit;
  while (running()) {
    if (watch) watch();
    if (std::chrono::steady_clock::now() > stop) {
      end();
      out.timed_out = true;
      break;
    }
    std::this_thread::sleep_for(kPause);
  }
  if (!out.timed_out && WIFEXITED(status_)) out.exit_code = WEXITSTATUS(status_);
  out.output = content_of(output_path_);
  return out;
}

bool Process::has_mapped(const std::string& file_name) const {
  if (group_ <= 0) return false;
  std::error_code ignored;
  for (const fs::directory_entry& entry : fs::directory_iterator("/proc", ignored)) {
    if (!is_number(entry.path().filename().string())) continue;
    if (group_of(entry.path()) != group_) continue;
    if (content_of(entry.path() / "maps").find("/" + file_name + "\n") != std::string::npos) {
      return true;
    }
  }
  return false;
}

Finished run(const std::vector<std::string>& words, std::chrono::milliseconds limit) {
  return Process(words).wait(limit);
}

}  // namespace loftledger::support
