#include "cli/batch_run.h"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <opencv2/core/utility.hpp>
#include <thread>

#include "base/error.h"
#include "base/files.h"
#include "base/sha256.h"
#include "cli/survey_folder.h"
#include "measure/survey_file.h"

namespace verdigrid {

namespace {

namespace fs = std::filesystem;
using nlohmann::json;

constexpr std::uintmax_t k_json_limit_bytes = std::uintmax_t{256} << 20;
constexpr const char* k_settings_file = "batch.json";

json json_file(const fs::path& path) {
  const Bytes bytes = read_file(path, k_json_limit_bytes);
  const auto* first = reinterpret_cast<const char*>(bytes.data());
  return json::parse(first, first + bytes.size(), nullptr, false);
}

// As they are written; throw json::exception when they are none.
const json& number_in(const json& object, const char* key) {
  static_cast<void>(object.at(key).get<double>());
  return object.at(key);
}
const json& interval_in(const json& object, const char* key) {
  const json& interval = object.at(key);
  for (const char* end : {"value", "low", "high"}) number_in(interval, end);
  return interval;
}

// Keeps the settings in the folder, or finds them the same.
void claim(const fs::path& out, const json& told) {
  std::error_code code;
  fs::create_directories(out, code);
  if (code)
    throw Error(ErrorKind::storage, fmt::format("{}: cannot be made ({}). Check its permissions.",
                                                out.string(), code.message()));
  const fs::path file = out / k_settings_file;
  if (!fs::exists(file)) {
    write_file(file, told.dump(1) + "\n");
  } else if (json_file(file) != told) {
    throw Error(ErrorKind::wrong_use,
                fmt::format("{}: holds a batch with another detector, setting or way to a scale. "
                            "Name another folder, or use the same.",
                            out.string()));
  }
}

// The photo in the folder's survey is this very file.
bool is_finished(const fs::path& folder, const fs::path& photo, std::uintmax_t limit) {
  const fs::path file = folder / "survey.json";
  if (!fs::exists(file)) return false;
  const json survey = json_file(file);
  const json::json_pointer sha256("/photo/sha256");
  return survey.contains(sha256) && survey.at(sha256) == sha256_hex(read_file(photo, limit));
}

class Batch {
 public:
  Batch(const std::vector<BatchItem>& items, const BatchSettings& settings,
        const Detector& detector, const fs::path& out, const BatchLine& line, const BatchKeep& keep,
        const Work& work)
      : items_(items),
        settings_(settings),
        detector_(detector),
        out_(out),
        line_(line),
        keep_(keep),
        work_(work) {}

  BatchCount run() {
    const int jobs = std::clamp(settings_.jobs, 1, std::max(1, static_cast<int>(items_.size())));
    // Photos side by side use the cores better than the pixels of one photo.
    const int threads_before = cv::getNumThreads();
    if (jobs > 1) cv::setNumThreads(1);
    {
      std::vector<std::jthread> workers;
      for (int i = 1; i < jobs; ++i) workers.emplace_back([this] { work_through(); });
      work_through();
    }
    cv::setNumThreads(threads_before);
    if (fault_) std::rethrow_exception(fault_);
    work_.check();
    return count_;
  }

 private:
  void work_through() {
    for (size_t i = next_++; i < items_.size() && !is_over(); i = next_++) try {
        one(items_[i]);
      } catch (...) {
        const std::lock_guard lock(mutex_);
        if (!fault_) fault_ = std::current_exception();
      }
  }

  bool is_over() {
    const std::lock_guard lock(mutex_);
    return fault_ || work_.stop.stop_requested();
  }

  // Throws only what ends the whole batch: no room, a stop, a fault of ours.
  void one(const BatchItem& item) {
    const fs::path folder = out_ / item.name;
    try {
      if (is_finished(folder, item.photo, settings_.photo.decode.file_limit_bytes)) {
        if (keep_) keep_whole(item, load_survey(folder));
        return say(batch_line(item.name, folder, "known"), count_.known);
      }
      NewFolder results(folder, survey_file_names());
      const Survey survey = surveyed(item, results);
      if (keep_) keep_whole(item, survey);
      say(batch_line(item.name, folder, "done"), count_.done);
    } catch (const Error& e) {
      if (e.kind() == ErrorKind::storage || e.kind() == ErrorKind::interrupted ||
          e.kind() == ErrorKind::internal)
        throw;
      say({{"photo", item.name}, {"state", "refused"}, {"error", e.what()}}, count_.refused);
    }
  }

  Survey surveyed(const BatchItem& item, NewFolder& results) const {
    const Work work{work_.stop, {}};
    PhotoArguments arguments = settings_.photo;
    arguments.path = item.photo;
    arguments.rectify.side = item.side;
    if (item.board_mm) arguments.rectify.board_mm = item.board_mm;
    const Photo photo = load_photo(arguments.path, arguments.decode);
    const Rectification r = rectification_by(arguments, photo, work);
    Survey survey = survey_of(photo, r, detector_, settings_.survey, work);
    write_survey_folder(results, photo, survey, work);
    return survey;
  }

  void keep_whole(const BatchItem& item, const Survey& survey) {
    const std::lock_guard lock(mutex_);
    keep_(item, survey);
  }

  void say(const json& line, size_t& count) {
    const std::lock_guard lock(mutex_);
    ++count;
    line_(line);
    const size_t all = count_.done + count_.known + count_.refused;
    work_.report(static_cast<double>(all) / static_cast<double>(items_.size()));
  }

  const std::vector<BatchItem>& items_;
  const BatchSettings& settings_;
  const Detector& detector_;
  const fs::path& out_;
  const BatchLine& line_;
  const BatchKeep& keep_;
  const Work& work_;
  std::atomic<size_t> next_ = 0;
  std::mutex mutex_;
  BatchCount count_;
  std::exception_ptr fault_;
};

}  // namespace

json BatchSettings::told(const Detector& detector) const {
  json j = {{"format", "verdigrid-batch"},
            {"version", 1},
            {"program_version", program_version()},
            {"detector", detector.id()},
            {"setting", name(survey.detector.setting)},
            {"feature_mm", survey.check.feature_mm},
            {"card", photo.rectify.card.has_value()},
            {"lens", photo.lens_file.string()}};
  if (photo.rectify.board_mm)
    j["board_mm"] = {photo.rectify.board_mm->width, photo.rectify.board_mm->height};
  return j;
}

json batch_line(const std::string& name, const fs::path& folder, const std::string& state) {
  const fs::path file = folder / "survey.json";
  try {
    const json survey = json_file(file);
    const json& board = survey.at("board");
    json line = {{"photo", name},
                 {"state", state},
                 {"folder", folder.string()},
                 {"sha256", survey.at("photo").at("sha256").get<std::string>()},
                 {"check", survey.at("photo_check").at("verdict").get<std::string>()},
                 {"findings", survey.at("findings").size()},
                 {"severity", board.at("severity").get<std::string>()},
                 {"affected_percent", interval_in(board.at("affected"), "percent")},
                 {"unseen_percent", number_in(board.at("unseen"), "total_percent")}};
    if (survey.at("unit") == "mm") line["affected_mm2"] = interval_in(board.at("affected"), "area");
    return line;
  } catch (const json::exception&) {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: is not a whole survey. Take its folder away and run the batch "
                            "again: it surveys that photo anew.",
                            file.string()));
  }
}

BatchCount run_batch(const std::vector<BatchItem>& items, const BatchSettings& settings,
                     const Detector& detector, const fs::path& out, const BatchLine& line,
                     const BatchKeep& keep, const Work& work) {
  claim(out, settings.told(detector));
  return Batch(items, settings, detector, out, line, keep, work).run();
}

}  // namespace verdigrid
