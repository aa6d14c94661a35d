#include "report/utf8.h"

#include <glib.h>

namespace verdigrid {

std::string valid_utf8(std::string_view text) {
  if (text.empty()) return {};
  gchar* made = g_utf8_make_valid(text.data(), static_cast<gssize>(text.size()));
  std::string valid(made);
  g_free(made);
  return valid;
}

}  // namespace verdigrid
