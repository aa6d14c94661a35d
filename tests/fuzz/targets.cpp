#include "tests/fuzz/targets.h"

#include <unistd.h>

#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>

#include "base/error.h"
#include "cli/batch_items.h"
#include "cli/batch_table.h"
#include "compare/close_up_file.h"
#include "compare/comparison_file.h"
#include "detect/review.h"
#include "jobbook/board_type.h"
#include "jobbook/exchange.h"
#include "layout/export.h"
#include "layout/import.h"
#include "layout/layout_json.h"
#include "measure/survey_json.h"
#include "photo/decode.h"
#include "photo/exif.h"
#include "photo/share.h"
#include "plan/bench_log.h"
#include "plan/plan.h"
#include "plan/power_lock.h"
#include "plan/rate_table.h"
#include "rectify/lens_file.h"
#include "rectify/rectification_file.h"
#include "report/exchange_json.h"

namespace verdigrid::fuzz {

namespace {

namespace fs = std::filesystem;

const DecodeOptions k_small_photos{.pixel_limit_mp = 1};

std::string_view text_of(Input input) {
  return {reinterpret_cast<const char*>(input.data()), input.size()};
}

void must(bool holds, const char* what) {
  if (!holds) throw std::logic_error(what);
}

// What was read can be written, and is the same when it is read and written once more.
template <typename Read, typename Write>
void round_trip(Input input, Read read, Write write) {
  const std::string once = write(read(text_of(input)));
  must(write(read(std::string_view(once))) == once, "written and read again it differs");
}

// A folder that lives as long as the process.
const fs::path& own_folder() {
  struct Own {
    fs::path path = fs::temp_directory_path() / ("verdigrid-fuzz-" + std::to_string(::getpid()));
    Own() { fs::create_directories(path); }
    ~Own() {
      std::error_code ignored;
      fs::remove_all(path, ignored);
    }
  };
  static const Own own;
  return own.path;
}

// A job book that is made anew once something went into it.
struct ThrowAwayBook {
  std::unique_ptr<JobBook> book;
  JobBook& fresh() {
    if (!book) {
      const fs::path folder = own_folder() / "book";
      fs::remove_all(folder);
      book = std::make_unique<JobBook>(
          JobBook::create(folder, {.who = "fuzz", .now = [] { return "2026-03-01T00:00:00Z"; }}));
    }
    return *book;
  }
};

void photo(Input input) {
  const Photo read = decode_photo(input, "x", k_small_photos);
  must(!read.bgr.empty() && read.bgr.type() == CV_8UC3, "half a photo");
}

void shared_photo(Input input) {
  const Bytes shared = shareable_photo(input, "x", k_small_photos);
  const Photo was = decode_photo(input, "x", k_small_photos);
  const Photo is = decode_photo(shared, "x", k_small_photos);
  must(was.bgr.size() == is.bgr.size(), "the shared photo has another size");
  must(shareable_photo(shared, "x", k_small_photos) == shared, "shared again it differs");
}

void exif(Input input) {
  const ExifFacts facts = exif_facts(input);
  must(facts.orientation >= 1 && facts.orientation <= 8, "an orientation that there is none");
}

// An imported layout can be drawn, saved and loaded.
void keep(const Imported& imported) {
  const Layout layout = board_layout({imported});
  drawing_svg(layout);
  const std::string text = layout_json(layout);
  must(layout_json(layout_from_json(text, "x")) == text, "the imported layout does not come back");
}

void centroid(Input input) {
  keep(imported_centroid(utf8_text({input.begin(), input.end()}, "x"), "x"));
}
void kicad(Input input) { keep(imported_kicad(utf8_text({input.begin(), input.end()}, "x"), "x")); }
void ipc_d_356(Input input) {
  keep(imported_ipc_d_356(utf8_text({input.begin(), input.end()}, "x"), "x"));
}
void gerber(Input input) {
  keep(imported_gerber_profile(utf8_text({input.begin(), input.end()}, "x"), "x"));
}

void layout(Input input) {
  round_trip(
      input, [](auto text) { return layout_from_json(text, "x"); }, layout_json);
}
void survey(Input input) {
  round_trip(
      input, [](auto text) { return survey_from_json(text, "x"); },
      [](const Survey& s) { return survey_json(s, s.pictures); });
}
void review(Input input) {
  round_trip(
      input, [](auto text) { return review_from_json(text, "x"); }, review_json);
}
void rectification(Input input) {
  round_trip(
      input, [](auto text) { return rectification_from_json(text, "x"); }, rectification_json);
}
void lens(Input input) {
  round_trip(
      input, [](auto text) { return lens_from_json(text, "x"); }, lens_json);
}
void rate_table(Input input) {
  round_trip(
      input, [](auto text) { return rate_table_from_json(text, "x"); }, rate_table_json);
}
void plan(Input input) {
  round_trip(
      input,
      [](auto text) {
        const Plan read = plan_from_json(text, "x");
        estimate_of(read);
        advice_of(read);
        parts_to_order(read);
        return read;
      },
      plan_json);
}
void power_lock(Input input) {
  const std::string date = "2026-03-01";
  round_trip(
      input, [](auto text) { return power_lock_from_json(text, "x"); },
      [&](const PowerLock& lock) { return power_lock_json(lock, date); });
}
void bench_log(Input input) {
  round_trip(
      input, [](auto text) { return bench_log_from_json(text, "x"); }, bench_log_json);
}

// The picture is asked for once all of the JSON is taken; here the reading ends.
void comparison(Input input) {
  struct AllTaken {};
  try {
    load_comparison(text_of(input), "x", [](const PictureName&) -> Bytes { throw AllTaken(); });
  } catch (const AllTaken&) {
  }
}

void close_up(Input input) {
  round_trip(
      input, [](auto text) { return close_up_from_json(text, "x"); }, close_up_json);
}

void coco(Input input) {
  coco_regions(text_of(input), "x", "front, \"arrival\" \xC3\xA9.jpg", {300, 225});
}

void board_type(Input input) {
  static ThrowAwayBook own;
  const std::string id = import_board_type(own.fresh(), text_of(input), "x");
  learned_of(own.fresh(), id);
  board_type_sheet(own.fresh(), id);
  own.book.reset();
}

void unit(Input input) {
  static ThrowAwayBook own;
  const fs::path folder = own_folder() / "unit";
  fs::create_directories(folder / "photos");
  write_file(folder / "unit.json", input);
  const ImportedUnit imported = import_unit(own.fresh(), folder);
  must(import_unit(own.fresh(), folder).new_records == 0, "imported again it is new");
  export_unit(own.fresh(), imported.unit, own_folder() / "out", OwnerData::include);
  fs::remove_all(own_folder() / "out");
  own.book.reset();
}

void manifest(Input input) {
  const fs::path file = own_folder() / "manifest.csv";
  write_file(file, input);
  batch_items(file);
}

// A survey among the results of a batch, damaged or not, on its way into a table.
void gather(Input input) {
  const fs::path results = own_folder() / "results";
  fs::create_directories(results / "a");
  write_file(results / "a" / "survey.json", input);
  BatchItem item;
  item.name = "a";
  gathered({item}, {results});
}

constexpr Target k_targets[] = {
    {"photo", photo},
    {"shared-photo", shared_photo},
    {"exif", exif},
    {"centroid", centroid},
    {"kicad", kicad},
    {"ipc-d-356", ipc_d_356},
    {"gerber", gerber},
    {"layout", layout},
    {"survey", survey},
    {"review", review},
    {"rectification", rectification},
    {"lens", lens},
    {"rate-table", rate_table},
    {"plan", plan},
    {"power-lock", power_lock},
    {"bench-log", bench_log},
    {"comparison", comparison},
    {"close-up", close_up},
    {"coco", coco},
    {"board-type", board_type},
    {"unit", unit},
    {"manifest", manifest},
    {"gather", gather},
};

}  // namespace

std::span<const Target> targets() { return k_targets; }

const Target& target_named(std::string_view name) {
  for (const Target& target : k_targets)
    if (target.name == name) return target;
  throw std::out_of_range("no fuzz target is called " + std::string(name));
}

void try_input(const Target& target, Input input) {
  try {
    target.read(input);
  } catch (const Error& error) {
    if (error.kind() == ErrorKind::internal) throw;
    const std::string sentence = error.what();
    must(sentence.size() > 10 && sentence.back() == '.', "the refusal is no sentence");
  }
}

}  // namespace verdigrid::fuzz
