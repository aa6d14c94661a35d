#include "jobbook/unit_record.h"

#include "base/error.h"

namespace verdigrid {

Record unit_record(const JobBook& book, const std::string& id) {
  Record record = book.get(id);
  if (record.kind != "unit")
    throw Error(ErrorKind::wrong_use,
                id + ": is no unit. 'verdigrid jobbook list' shows the units.");
  return record;
}

Unit unit_at(const JobBook& book, const std::string& id) {
  return unit_from(unit_record(book, id).body);
}

}  // namespace verdigrid
