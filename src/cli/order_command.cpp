// verdigrid order ...: parts from needed to fitted over the whole shelf, and what lies in the
// drawer.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cmath>

#include "base/error.h"
#include "base/files.h"
#include "cli/command.h"
#include "cli/job_book_place.h"
#include "cli/nested.h"
#include "cli/new_file.h"
#include "cli/plan_place.h"
#include "cli/values.h"
#include "jobbook/order_record.h"

namespace verdigrid {

namespace fs = std::filesystem;

namespace {

struct OrderArguments {
  fs::path book;
  std::string who;  // signs; empty: the name kept in the settings
  OrderOptions options;
  std::string from, order, board;
  std::vector<std::string> designators;
  PartUpdate change;
  StockRow stock;
  fs::path csv;
  bool may_replace = false;
};

JobBook opened(const OrderArguments& a, Open how) { return opened_job_book(a.book, a.who, how); }

std::string line_words(const OrderLine& l, const std::vector<NeededPart>& parts) {
  std::string text = fmt::format("{:>4} x {}", l.parts.size(), words(l.spec));
  if (!l.substitute.empty()) text += "; substitute: " + l.substitute;
  if (l.price_each) text += fmt::format("; {:.2f} {} each", *l.price_each, l.currency);
  if (const std::string missing = missing_words(l.spec); !missing.empty())
    text += "; not known: " + missing;
  text += "\n      for";
  std::string board;
  for (const size_t i : l.parts) {
    const NeededPart& p = parts[i];
    if (p.board != board) text += fmt::format(" {} {}:", p.unit_name, p.board_name);
    board = p.board;
    text += " " + p.designator;
  }
  return text + "\n";
}

std::string part_words(const NeededPart& p) {
  std::string text =
      fmt::format("  {:<12} {:<8} {:<14} {}", p.unit, p.designator, name(p.state), words(p.spec));
  if (!p.substitute.empty()) text += "; substitute: " + p.substitute;
  text += fmt::format(" (value: {})", p.value_from);
  if (p.optional) text += " (offered)";
  return text + "\n";
}

void write_csv(const OrderArguments& a, const std::string& csv) {
  if (a.csv.empty()) return;
  NewFile{a.csv, a.may_replace}.check(".csv");
  write_file(a.csv, csv);
}

int run_list(const OrderArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  if (!a.options.unit.empty()) book.get(a.options.unit);
  const std::vector<NeededPart> parts = needed_parts(book);
  const std::vector<OrderLine> lines = order_lines(parts, a.options);
  write_csv(a, order_csv(lines, parts));
  if (!lines.empty()) s.out << "To order:\n";
  for (const OrderLine& l : lines) s.out << line_words(l, parts);
  std::string waiting, known;
  for (const NeededPart& p : parts) {
    if (!a.options.unit.empty() && p.unit != a.options.unit) continue;
    if (p.state == OrderState::needed && !p.why_not.empty())
      waiting += part_words(p) + "    not ordered: " + p.why_not + "\n";
    else if (p.state != OrderState::needed || (p.optional && !a.options.offered))
      known += part_words(p);
  }
  if (!waiting.empty()) s.out << "Not to be ordered yet:\n" << waiting;
  if (!known.empty()) s.out << "Offered, on the way, here or fitted:\n" << known;
  for (const PlacedOrder& o : placed_orders(book))
    s.out << fmt::format("{} of {}{}: {} of {} pieces arrived\n", o.id, o.on,
                         o.from.empty() ? "" : " from " + o.from, o.arrived, o.parts);
  if (parts.empty()) s.messages << "No plan of this job book asks for a new part.\n";
  return 0;
}

int run_place(const OrderArguments& a, Session& s) {
  if (!a.csv.empty()) NewFile{a.csv, a.may_replace}.check(".csv");
  JobBook book = opened(a, Open::existing);
  if (!a.options.unit.empty()) book.get(a.options.unit);
  std::string csv;
  const auto ids = book.change_by("parts ordered", [&] {
    const std::vector<Edit> edits = order_edits(book, a.options, a.from);
    csv = edits.front().body->at("csv").get<std::string>();
    return edits;
  });
  write_csv(a, csv);
  s.out << ids.front() << '\n';
  return 0;
}

int run_arrived(const OrderArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  book.change_by("parts arrived", [&] { return arrival_edits(book, a.order); });
  for (const PlacedOrder& o : placed_orders(book))
    if (o.id == a.order)
      s.out << fmt::format("{}: {} of {} pieces arrived.\n", o.id, o.arrived, o.parts);
  return 0;
}

int run_part(const OrderArguments& a, Session& s) {
  const PartUpdate& c = a.change;
  if (!c.state && !c.substitute && !c.value && !c.volts && !c.diameter_mm && !c.height_mm &&
      !c.spacing_mm)
    throw Error(ErrorKind::wrong_use,
                "Say what is known of the part: --state, --value, --volts, --diameter, --height, "
                "--spacing or --substitute.");
  JobBook book = opened(a, Open::existing);
  PlanPlace place;
  place.target = a.options.unit, place.book = a.book, place.board = a.board;
  const std::string board = board_of(book, place);
  std::vector<PartPlace> parts;
  for (const std::string& d : a.designators) parts.push_back({board, d});
  book.change_by("parts: what is known of them", [&] { return part_edits(book, parts, c); });
  for (const NeededPart& p : needed_parts(book))
    if (p.board == board &&
        std::find(a.designators.begin(), a.designators.end(), p.designator) != a.designators.end())
      s.out << part_words(p);
  return 0;
}

int run_drawer(const OrderArguments& a, Session& s) {
  const JobBook book = opened(a, Open::read_only);
  const std::vector<StockRow> rows = drawer_of(book);
  for (const StockRow& r : rows)
    s.out << fmt::format("{:>4} x {}{}\n", r.count, words(r.spec),
                         r.note.empty() ? "" : "; " + r.note);
  if (rows.empty())
    s.messages << "The drawer is empty: 'verdigrid order stock' adds what lies there.\n";
  return 0;
}

int run_stock(const OrderArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  StockRow row = a.stock;
  row.spec.value = plain_value(row.spec.value);
  book.change_by("drawer", [&] { return stock_edits(book, row); });
  return run_drawer(a, s);
}

int run_take(const OrderArguments& a, Session& s) {
  JobBook book = opened(a, Open::existing);
  std::vector<NeededPart> before;
  book.change_by("parts taken from the drawer", [&] {
    before = needed_parts(book);
    return taking_edits(book, a.options);
  });
  const std::vector<NeededPart> after = needed_parts(book);
  for (size_t i = 0; i < after.size(); ++i)
    if (after[i].state != before[i].state) s.out << part_words(after[i]);
  return 0;
}

void add_book(CLI::App& app, OrderArguments& v) {
  app.add_option("JOBBOOK", v.book, "Folder of the job book")->required()->type_name("");
  app.add_option("--who", v.who, "Name that signs the change (default: the one in the settings)")
      ->type_name("NAME");
}

void add_scope(CLI::App& app, OrderArguments& v) {
  app.add_option("--unit", v.options.unit, "This unit alone (default: all on the shelf)")
      ->type_name("UNIT");
  app.add_flag("--offered", v.options.offered,
               "Also parts that plans only offer: neighbours and the same series");
}

void add_csv(CLI::App& app, OrderArguments& v) {
  app.add_option("-o,--out", v.csv, "Write the lines to order as CSV")->type_name("FILE");
  app.add_flag("--replace", v.may_replace, "Replace the file when it is there already");
}

void add_list(CLI::App& app, OrderArguments& v) {
  add_scope(app, v);
  add_csv(app, v);
}

void add_place(CLI::App& app, OrderArguments& v) {
  add_list(app, v);
  app.add_option("--from", v.from, "Where it is ordered, in words")->type_name("TEXT");
}

void add_order(CLI::App& app, OrderArguments& v) {
  app.add_option("ORDER", v.order, "Its id, as 'order place' printed it")
      ->required()
      ->type_name("");
}

template <class Into>
void add_number(CLI::App& app, const char* option, Into& into, const char* help, const char* unit) {
  app.add_option_function<std::string>(
         option, [&into, option](const std::string& text) { into = number_from(option, text); },
         help)
      ->type_name(unit);
}

void add_part(CLI::App& app, OrderArguments& v) {
  app.add_option("UNIT", v.options.unit, "Id of the unit")->required()->type_name("");
  app.add_option("DESIGNATOR", v.designators, "Parts: C12 C13 ...")->required()->type_name("");
  app.add_option("--board", v.board, "Name of the unit's board, where it has several")
      ->type_name("NAME");
  app.add_option_function<std::string>(
         "--state",
         [&v](const std::string& text) {
           v.change.state = order_state_named(text);
           if (!v.change.state)
             throw Error(
                 ErrorKind::wrong_use,
                 "--state: say needed, \"in the drawer\", ordered, arrived or fitted, not \"" +
                     text + "\".");
         },
         "needed, \"in the drawer\", ordered, arrived or fitted")
      ->type_name("STATE");
  const auto text = [&app](const char* option, std::optional<std::string>& into, const char* help) {
    app.add_option_function<std::string>(
           option, [&into](const std::string& t) { into = t; }, help)
        ->type_name("TEXT");
  };
  text("--value", v.change.value, "Its value as you read it: \"100 uF\"");
  text("--substitute", v.change.substitute, "What is fitted in its place, in words");
  add_number(app, "--volts", v.change.volts, "Voltage it must stand", "V");
  add_number(app, "--diameter", v.change.diameter_mm, "Room for its diameter", "MM");
  add_number(app, "--height", v.change.height_mm, "Room for its height", "MM");
  add_number(app, "--spacing", v.change.spacing_mm, "Between its leads", "MM");
}

void add_stock(CLI::App& app, OrderArguments& v) {
  app.add_option("--value", v.stock.spec.value, "\"100 uF\"")->required()->type_name("TEXT");
  app.add_option_function<std::string>(
         "--kind",
         [&v](const std::string& text) {
           const auto kind = part_kind_named(text);
           if (!kind)
             throw Error(ErrorKind::wrong_use,
                         "--kind: \"" + text +
                             "\" is no kind of part; say aluminium-smd, aluminium-radial, "
                             "aluminium-axial, tantalum, capacitor ...");
           v.stock.spec.kind = *kind;
         },
         "aluminium-smd, aluminium-radial, aluminium-axial ...")
      ->required()
      ->type_name("KIND");
  add_number(app, "--volts", v.stock.spec.volts, "Voltage printed on it", "V");
  add_number(app, "--diameter", v.stock.spec.diameter_mm, "Its diameter", "MM");
  add_number(app, "--height", v.stock.spec.height_mm, "Its height", "MM");
  add_number(app, "--spacing", v.stock.spec.spacing_mm, "Between its leads", "MM");
  app.add_option_function<std::string>(
         "--count",
         [&v](const std::string& text) {
           const double count = number_from("--count", text);
           if (count != std::round(count) || std::abs(count) > 1e6)
             throw Error(ErrorKind::wrong_use,
                         "--count: must be a whole number, not \"" + text + "\".");
           v.stock.count = static_cast<int>(count);
         },
         "How many more; below 0: how many fewer")
      ->required()
      ->type_name("N");
  app.add_option("--note", v.stock.note, "Series, date code, where it lies")->type_name("TEXT");
}

constexpr Nested<OrderArguments> k_table[] = {
    {"list", "What to order over the whole shelf, in lines of like parts", add_list, run_list},
    {"place", "Log that it was ordered; prints the order's id", add_place, run_place},
    {"arrived", "Log that an order arrived", add_order, run_arrived},
    {"part", "Tell what a part must be, how far it is, or what replaces it", add_part, run_part},
    {"drawer", "What lies in the drawer", add_nothing<OrderArguments>, run_drawer},
    {"stock", "Add to the drawer or take away", add_stock, run_stock},
    {"take", "Set drawer parts aside for the parts that need them", add_scope, run_take},
};

}  // namespace

CommandRun order_command(CLI::App& arguments) {
  return nested_command<OrderArguments>(arguments, k_table, add_book);
}

}  // namespace verdigrid
