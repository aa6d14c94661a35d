#include "plan/plan_json.h"

#include <fmt/format.h>

#include "base/error.h"

namespace verdigrid {

nlohmann::json parsed_json(std::string_view text, std::string_view where) {
  try {
    return nlohmann::json::parse(text);
  } catch (const nlohmann::json::parse_error& e) {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: not JSON: the fault is near byte {}; mend it there, or write the "
                            "file anew with this program.",
                            where, e.byte));
  } catch (const nlohmann::json::exception&) {
    throw Error(ErrorKind::bad_input,
                fmt::format("{}: holds a number that is too large for a file; mend it.", where));
  }
}

Triple triple_from(JsonFields& fields, const std::string& key) {
  const std::vector<double> v = fields.numbers(key, 3);
  const Triple t{v[0], v[1], v[2]};
  if (!(0 < t.low && t.low <= t.likely && t.likely <= t.high && t.high <= 100'000))
    fields.refuse(key, "must be low, likely and high minutes, rising, above 0, 100000 at most");
  return t;
}

double amount_or(JsonFields& fields, const std::string& key, double standard, double most) {
  const double v = fields.number_or(key, standard);
  if (!(v >= 0 && v <= most)) fields.refuse(key, fmt::format("must be from 0 to {:g}", most));
  return v;
}

}  // namespace verdigrid
