// How a job book feels after years: 2,000 units with 20,000 photos' records and a survey for every
// fourth photo. Prints how long opening, searching and the queue take (median of 9) and the memory.
//
//   big_job_book [--units N] [--photos-per-unit N]
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iostream>
#include <random>
#include <string>
#include <vector>

#include "base/error.h"
#include "jobbook/entities.h"
#include "jobbook/job_book.h"
#include "jobbook/queue.h"
#include "jobbook/search.h"
#include "tests/bench/bench_main.h"

using namespace verdigrid;

namespace {

constexpr int k_runs = 9;

constexpr const char* k_names[] = {"sequencer", "oscilloscope", "terminal",  "arcade board",
                                   "plotter",   "drum machine", "tape deck", "counter",
                                   "recorder",  "power supply"};
constexpr const char* k_classes[] = {"copper-salt", "leak-film",      "white-salt",
                                     "rust",        "attacked-joint", "eaten-copper"};

template <class List>
std::string any_of(const List& list, std::mt19937& random) {
  return list[random() % std::size(list)];
}

nlohmann::json found_list(std::mt19937& random) {
  nlohmann::json found = nlohmann::json::array();
  for (int i = 0; i < 6; ++i)
    found.push_back(
        {{"zone",
          std::string(1, static_cast<char>('A' + random() % 6)) + std::to_string(1 + random() % 8)},
         {"residue", any_of(k_classes, random)},
         {"percent", 0.1 * static_cast<double>(random() % 100)},
         {"parts", {fmt::format("C{}", random() % 60), fmt::format("U{}", random() % 30)}}});
  return found;
}

// One unit with its board and photos as one step each, as the receiving desk would add them.
void add_unit(JobBook& book, int number, int photos, std::mt19937& random) {
  Unit unit;
  unit.name = fmt::format("{} {}", any_of(k_names, random), number);
  unit.received_on =
      fmt::format("20{:02}-{:02}-{:02}", 10 + number % 20, 1 + number % 12, 1 + number % 28);
  unit.owner = fmt::format("owner {}", random() % 400);
  unit.state = any_of(k_unit_states, random);
  unit.battery.leaking = number % 9 == 0 ? Answer3::yes : Answer3::no;
  const std::string id = book.put("received", {"", "unit", {}, to_body(unit)});
  const std::string board = book.put("board", {"", "board", id, to_body(Board{"main"})});
  std::vector<Edit> edits;
  for (int i = 0; i < photos; ++i) {
    KeptPhoto photo;
    photo.name = fmt::format("P{:07}.jpg", number * photos + i);
    photo.side = i % 2 ? Side::back : Side::front;
    photo.captured_at = unit.received_on + "T10:00:00";
    photo.width_px = 4000, photo.height_px = 3000;
    edits.push_back({"", "photo", board, to_body(photo)});
  }
  const std::vector<std::string> ids = book.change("photos added", edits);
  std::vector<Edit> surveys;
  for (std::size_t i = 0; i < ids.size(); i += 4)
    surveys.push_back({"", "survey", ids[i], nlohmann::json{{"found", found_list(random)}}});
  book.change("surveyed", surveys);
}

double resident_mb() {
  std::ifstream file("/proc/self/statm");
  double total = 0, resident = 0;
  file >> total >> resident;
  return resident * static_cast<double>(::sysconf(_SC_PAGESIZE)) / (1 << 20);
}

int run(int argc, char** argv) {
  int units = 2000, photos = 10;
  for (int i = 1; i + 1 < argc; i += 2)
    (std::string(argv[i]) == "--units" ? units : photos) = std::stoi(argv[i + 1]);
  const auto folder =
      std::filesystem::temp_directory_path() / fmt::format("verdigrid-big-job-book-{}", ::getpid());
  std::mt19937 random(11);
  {
    JobBook book = JobBook::create(folder, {});
    // Making it is not what is measured: without waiting for the disk at each step.
    book.database().run("PRAGMA synchronous=OFF");
    for (int i = 0; i < units; ++i) add_unit(book, i, photos, random);
  }
  const double before = resident_mb();
  const double open_ms = median_ms(k_runs, [&] { JobBook::open(folder, {}); });
  const JobBook book = JobBook::open(folder, {}, Open::read_only);
  std::size_t rows = 0, words = 0, parts = 0;
  const double queue_ms = median_ms(k_runs, [&] { rows = queue_of(book).size(); });
  const double words_ms = median_ms(k_runs, [&] {
    words = search(book, SearchQuery{"oscillo 17", {}, {}, {}, {}}).size();
  });
  const double parts_ms = median_ms(k_runs, [&] {
    SearchQuery query;
    query.residue = "white-salt", query.part = "C17";
    parts = search(book, query).size();
  });
  std::cout << fmt::format(
      "{} units, {} photos, {:.0f} MB on disk\n", units, units * photos,
      static_cast<double>(std::filesystem::file_size(folder / "job-book.sqlite")) / (1 << 20));
  std::cout << fmt::format(
      "open {:.1f} ms, queue of {} {:.1f} ms, search by words ({} hits) {:.1f} "
      "ms, by class and part ({} hits) {:.1f} ms\n",
      open_ms, rows, queue_ms, words, words_ms, parts, parts_ms);
  std::cout << fmt::format("memory {:.0f} MB before, {:.0f} MB after\n", before, resident_mb());
  std::filesystem::remove_all(folder);
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  return bench_main([&] { return run(argc, argv); });
}
