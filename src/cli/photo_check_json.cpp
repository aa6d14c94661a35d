#include "cli/photo_check_json.h"

#include <nlohmann/json.hpp>

namespace verdigrid {

std::string photo_check_json(const PhotoMeta& photo, const PhotoCheck& check) {
  using Json = nlohmann::ordered_json;
  Json items = Json::array();
  for (const CheckItem& item : check.items)
    items.push_back({{"id", item.id},
                     {"figure", item.figure},
                     {"unit", item.unit},
                     {"good_limit", item.good_limit},
                     {"usable_limit", item.usable_limit},
                     {"source", item.source},
                     {"verdict", name(item.verdict)},
                     {"sentence", item.sentence}});
  const Json json{{"format", "verdigrid-photo-check"},
                  {"version", 1},
                  {"photo", {{"name", photo.name}, {"sha256", photo.sha256}}},
                  {"verdict", name(check.verdict)},
                  {"items", std::move(items)}};
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace verdigrid
