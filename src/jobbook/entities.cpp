#include "jobbook/entities.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/error.h"

namespace verdigrid {

using nlohmann::json;

namespace {

// One list of fields serves both directions: `visit(field name, member)`.
class Writer {
 public:
  explicit Writer(json& body) : body_(body) {}
  void operator()(const char* field, const std::string& v) {
    if (!v.empty()) body_[field] = v;
  }
  void operator()(const char* field, int v) { body_[field] = v; }
  void operator()(const char* field, double v) { body_[field] = v; }
  void operator()(const char* field, bool v) { body_[field] = v; }
  void operator()(const char* field, Answer3 v) { body_[field] = name(v); }
  void operator()(const char* field, Side v) { body_[field] = name(v); }
  void operator()(const char* field, const std::optional<Signature>& v) {
    if (v) body_[field] = {{"who", v->who}, {"at", v->at}};
  }
  void operator()(const char* field, const Battery& v);

 private:
  json& body_;
};

class Reader {
 public:
  Reader(const json& body, std::string path) : body_(body), path_(std::move(path)) {}
  template <class T>
  void operator()(const char* field, T& v) {
    const auto at = body_.find(field);
    if (at == body_.end()) return;
    try {
      take(*at, field, v);
    } catch (const json::exception&) {
      throw Error(
          ErrorKind::bad_input,
          fmt::format("{}{}: has a value of the wrong type. Correct the file and read it again.",
                      path_, field));
    }
  }

 private:
  template <class T>
  void take(const json& value, const char*, T& v) {
    v = value.get<T>();
  }
  void take(const json& value, const char* field, Answer3& v) {
    v = one_of(value, field, {Answer3::unknown, Answer3::yes, Answer3::no});
  }
  void take(const json& value, const char* field, Side& v) {
    v = one_of(value, field, {Side::front, Side::back});
  }
  void take(const json& value, const char*, std::optional<Signature>& v) {
    v = Signature{value.at("who").get<std::string>(), value.at("at").get<std::string>()};
  }
  void take(const json& value, const char* field, Battery& v);
  template <class T>
  T one_of(const json& value, const char* field, std::initializer_list<T> known) {
    const auto text = value.get<std::string>();
    for (const T k : known)
      if (text == name(k)) return k;
    throw Error(
        ErrorKind::bad_input,
        fmt::format("{}{}: \"{}\" is not a known value. Correct the file and read it again.", path_,
                    field, text));
  }

  const json& body_;
  std::string path_;
};

template <class Visitor, class B>
void visit_battery(Visitor& v, B& b) {
  v("fitted", b.fitted), v("kind", b.kind), v("leaking", b.leaking), v("keeps_data", b.keeps_data),
      v("data_kept", b.data_kept);
  v("data_saved", b.data_saved), v("loss_accepted", b.loss_accepted), v("removed_on", b.removed_on),
      v("volts", b.volts);
}

void Writer::operator()(const char* field, const Battery& v) {
  json inner = json::object();
  Writer w(inner);
  visit_battery(w, v);
  body_[field] = std::move(inner);
}

void Reader::take(const json& value, const char* field, Battery& v) {
  Reader r(value, path_ + field + ".");
  visit_battery(r, v);
}

template <class Visitor, class U>
void visit_fields(Visitor& v, U& u, const Unit*) {
  v("name", u.name), v("entry_number", u.entry_number), v("owner", u.owner),
      v("owner_contact", u.owner_contact), v("received_on", u.received_on);
  v("condition", u.condition), v("completeness", u.completeness), v("description", u.description),
      v("reason", u.reason);
  v("entry_method", u.entry_method), v("items", u.items), v("requirements", u.requirements),
      v("return_on", u.return_on);
  v("insurance", u.insurance), v("packing", u.packing), v("extra", u.extra),
      v("location", u.location);
  v("handed_in_by", u.handed_in_by), v("received_by", u.received_by), v("make", u.make),
      v("model", u.model), v("serial", u.serial);
  v("revision", u.revision), v("missing_parts", u.missing_parts),
      v("previous_repair", u.previous_repair), v("smell", u.smell);
  v("mains_voltage", u.mains_voltage), v("last_known_to_work", u.last_known_to_work),
      v("strip_reading", u.strip_reading);
  v("battery", u.battery), v("picture_tube", u.picture_tube),
      v("mains_capacitors", u.mains_capacitors), v("nests", u.nests), v("wet", u.wet);
  v("is_supply", u.is_supply), v("state", u.state);
}

template <class Visitor, class K>
void visit_fields(Visitor& v, K& k, const KitItem*) {
  v("what", k.what), v("name", k.name), v("slot", k.slot), v("looked_at", k.looked_at),
      v("board", k.board);
}

template <class Visitor, class B>
void visit_fields(Visitor& v, B& b, const Board*) {
  v("name", b.name), v("type", b.type), v("revision", b.revision), v("note", b.note),
      v("size_mm", b.size_mm);
}

template <class Visitor, class P>
void visit_fields(Visitor& v, P& p, const KeptPhoto*) {
  v("sha256", p.sha256), v("name", p.name), v("role", p.role), v("side", p.side),
      v("captured_at", p.captured_at), v("note", p.note);
  v("width_px", p.width_px), v("height_px", p.height_px), v("no_place", p.no_place);
}

template <class T>
json body_of(const T& value) {
  json body = json::object();
  Writer w(body);
  visit_fields(w, value, static_cast<const T*>(nullptr));
  return body;
}

template <class T>
T value_from(const json& body) {
  if (!body.is_object())
    throw Error(ErrorKind::bad_input,
                "A record's body is no JSON object. Correct the file and read it again.");
  T value;
  Reader r(body, "");
  visit_fields(r, value, static_cast<const T*>(nullptr));
  return value;
}

template <size_t N>
void require_known(const char* const (&known)[N], const std::string& value, const char* field) {
  if (std::find(std::begin(known), std::end(known), value) == std::end(known))
    throw Error(ErrorKind::bad_input, fmt::format("{}: \"{}\" is not a known value. Known are: {}.",
                                                  field, value, fmt::join(known, ", ")));
}

}  // namespace

const char* name(Answer3 a) {
  switch (a) {
    case Answer3::unknown:
      return "don't know";
    case Answer3::yes:
      return "yes";
    case Answer3::no:
      return "no";
  }
  throw Error(ErrorKind::internal, "Internal fault: an answer has no name. Please report it.");
}

std::string battery_removal_block(const Battery& b) {
  if (b.fitted == Answer3::no || b.keeps_data == Answer3::no || b.data_saved || b.loss_accepted)
    return {};
  return b.keeps_data == Answer3::yes
             ? "The battery keeps data alive: read the data out first, or have the owner accept "
               "its loss, and sign that."
             : "Nobody knows yet whether the battery keeps calibration, keys or settings alive: "
               "find out first, or have the owner accept the loss, and sign that.";
}

// Usual cautions of the trade (common practice, no source); they never replace local codes or a
// licensed person.
bool shows_side(const KeptPhoto& photo) {
  return photo.role != "close-up" && photo.role != "under a socket";
}

std::vector<std::string> cautions(const Unit& u) {
  std::vector<std::string> list;
  if (u.picture_tube != Answer3::no)
    list.push_back(u.picture_tube == Answer3::yes
                       ? "Picture tube: it may hold a high voltage for days. Only a qualified "
                         "person discharges and meters it; follow local codes."
                       : "Picture tube not ruled out: keep the case closed until someone qualified "
                         "has looked; follow local codes.");
  if (u.mains_capacitors != Answer3::no)
    list.push_back(
        "Mains capacitors may be charged: unplug, and let a qualified person discharge them "
        "through a resistor and meter them; follow local codes.");
  if (u.battery.fitted != Answer3::no && u.battery.leaking != Answer3::no)
    list.push_back(
        "A battery may be leaking: gloves and eye shield, dry pick-up only. Hissing or a sharp "
        "smell: leave the room, ventilate, get help.");
  if (u.nests == Answer3::yes)
    list.push_back(
        "Nests or droppings: no blowing and no vacuum cleaner; wear a mask, wipe damp, wash "
        "hands.");
  return list;
}

json to_body(const Unit& u) {
  require_known(k_unit_states, u.state, "state");
  return body_of(u);
}
json to_body(const KitItem& k) { return body_of(k); }
json to_body(const Board& b) { return body_of(b); }
json to_body(const KeptPhoto& p) {
  require_known(k_photo_roles, p.role, "role");
  return body_of(p);
}
Unit unit_from(const json& body) { return value_from<Unit>(body); }
KitItem kit_item_from(const json& body) { return value_from<KitItem>(body); }
Board board_from(const json& body) { return value_from<Board>(body); }
KeptPhoto kept_photo_from(const json& body) { return value_from<KeptPhoto>(body); }

std::optional<Record> kept_photo_with(const JobBook& book, const std::string& sha256) {
  std::optional<Record> newest;
  for (Record& p : book.of_kind("photo"))
    if (p.body.value("sha256", "") == sha256) newest = std::move(p);
  return newest;
}

}  // namespace verdigrid
