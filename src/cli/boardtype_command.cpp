// verdigrid boardtype ...: notes, traps, tests and what was learned of one type of board.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>

#include "base/error.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/nested.h"
#include "jobbook/board_type.h"
#include "jobbook/entities.h"
#include "layout/layout_json.h"

namespace verdigrid {

namespace {

constexpr std::uintmax_t k_sheet_limit_bytes = std::uintmax_t{256} << 20;

struct TypeArguments {
  std::filesystem::path book, file, layout;
  std::string id, board;
  BoardType type;
};

int run_add(const TypeArguments& a, Session& s) {
  BoardType type = a.type;
  if (!a.layout.empty()) type.layout = nlohmann::json::parse(layout_json(load_layout(a.layout)));
  JobBook book = opened_job_book(a.book, {}, Open::existing);
  s.out << book.put("board type", {"", "board-type", {}, to_body(type)}) << '\n';
  return 0;
}

int run_assign(const TypeArguments& a, Session&) {
  JobBook book = opened_job_book(a.book, {}, Open::existing);
  const Record record = book.get(a.board);
  if (record.kind != "board" || book.get(a.id).kind != "board-type")
    throw Error(ErrorKind::wrong_use,
                "Name a board type and then a board; 'verdigrid jobbook show UNIT' gives the "
                "boards of a unit.");
  Board board = board_from(record.body);
  board.type = a.id;
  book.put("board type", {a.board, "board", {}, to_body(board)});
  return 0;
}

int run_list(const TypeArguments& a, Session& s) {
  const JobBook book = opened_job_book(a.book, {}, Open::read_only);
  for (const Record& r : book.of_kind("board-type"))
    s.out << fmt::format("{:<20} {}\n", r.id, board_type_from(r.body).name);
  return 0;
}

int run_show(const TypeArguments& a, Session& s) {
  const JobBook book = opened_job_book(a.book, {}, Open::read_only);
  const BoardType t = board_type_from(book.get(a.id).body);
  s.out << fmt::format("{} {}\n{}\n", t.name, t.revision, t.note);
  for (const std::string& trap : t.traps) s.out << "Trap: " << trap << '\n';
  for (const std::string& test : t.tests) s.out << "Test: " << test << '\n';
  if (t.layout.is_object()) {
    const Layout layout = layout_from_json(t.layout.dump(), t.name);
    s.out << fmt::format("Layout: {} zones, {} parts\n", layout.zones.size(), layout.parts.size());
  }
  s.out << "Look here first (units with residue there, of those surveyed):\n";
  for (const Learned& l : learned_of(book, a.id))
    s.out << fmt::format(
        "  {:<8} {} of {}{}\n", l.place, l.units_found, l.units_seen,
        l.is_part ? "" : fmt::format(", {:.2g} % of it on average", l.mean_percent));
  return 0;
}

int run_export(const TypeArguments& a, Session&) {
  write_file(a.file, board_type_sheet(opened_job_book(a.book, {}, Open::read_only), a.id));
  return 0;
}

int run_import(const TypeArguments& a, Session& s) {
  JobBook book = opened_job_book(a.book, {}, Open::existing);
  const Bytes bytes = read_file(a.file, k_sheet_limit_bytes);
  s.out << import_board_type(book, {reinterpret_cast<const char*>(bytes.data()), bytes.size()},
                             a.file.string())
        << '\n';
  return 0;
}

void add_type(CLI::App& app, TypeArguments& v) {
  app.add_option("--name", v.type.name, "What boards of this type are called")->required();
  app.add_option("--revision", v.type.revision, "Board revision");
  app.add_option("--note", v.type.note, "What to know");
  app.add_option("--layout", v.layout,
                 "Its layout ('verdigrid layout import'): plans know its parts")
      ->type_name("FILE");
  app.add_option("--trap", v.type.traps, "What surprised someone; may be given again");
  app.add_option("--test", v.type.tests, "A test after first power; may be given again");
}

void add_id(CLI::App& app, TypeArguments& v) {
  app.add_option("TYPE", v.id, "Id of the board type")->required();
}

void add_id_and_board(CLI::App& app, TypeArguments& v) {
  add_id(app, v);
  app.add_option("BOARD", v.board, "Id of the board")->required();
}

void add_id_and_out(CLI::App& app, TypeArguments& v) {
  add_id(app, v);
  app.add_option("-o,--out", v.file, "The sheet to write")->required();
}

void add_sheet(CLI::App& app, TypeArguments& v) {
  app.add_option("SHEET", v.file, "The sheet to read")->required();
}

void add_book(CLI::App& app, TypeArguments& v) {
  app.add_option("JOBBOOK", v.book, "Folder of the job book")->required();
}

constexpr Nested<TypeArguments> k_table[] = {
    {"add", "Begin a board type", add_type, run_add},
    {"assign", "Say that a board is of a type", add_id_and_board, run_assign},
    {"list", "All board types", add_nothing<TypeArguments>, run_list},
    {"show", "Notes, traps, tests, and where to look first", add_id, run_show},
    {"export", "Write a board-type sheet without owner data", add_id_and_out, run_export},
    {"import", "Read a sheet and merge it", add_sheet, run_import},
};

}  // namespace

CommandRun boardtype_command(CLI::App& arguments) {
  return nested_command<TypeArguments>(arguments, k_table, add_book);
}

}  // namespace verdigrid
