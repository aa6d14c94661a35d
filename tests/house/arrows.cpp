#include "tests/house/arrows.h"

#include <algorithm>
#include <fstream>
#include <regex>
#include <sstream>

namespace verdigrid::house {

namespace fs = std::filesystem;

namespace {

std::string text_of(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::vector<fs::path> files_under(const fs::path& folder) {
  std::vector<fs::path> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder))
    if (entry.is_regular_file()) files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  return files;
}

bool is_code(const fs::path& path) {
  return path.extension() == ".h" || path.extension() == ".cpp";
}

// "main" for files that lie in src itself.
std::string folder_of(const fs::path& src, const fs::path& file) {
  const fs::path relative = fs::relative(file, src);
  return std::distance(relative.begin(), relative.end()) > 1 ? relative.begin()->string() : "main";
}

std::vector<std::string> matches(const std::string& text, const std::regex& pattern) {
  std::vector<std::string> found;
  for (std::sregex_iterator it(text.begin(), text.end(), pattern), end; it != end; ++it)
    found.push_back((*it)[1]);
  return found;
}

bool may_use(const std::string& from, const std::string& to) {
  const auto& arrows = allowed_arrows();
  return from == to || (arrows.contains(from) && arrows.at(from).contains(to));
}

}  // namespace

const std::map<std::string, Folders>& allowed_arrows() {
  static const auto make = [] {
    std::map<std::string, Folders> a;
    a["base"] = {};
    a["photo"] = {"base"};
    a["rectify"] = {"base", "photo"};
    a["layout"] = {"base"};
    a["detect"] = {"base", "photo", "rectify", "layout"};
    a["measure"] = {"base", "photo", "rectify", "layout", "detect"};
    a["compare"] = {"base", "photo", "rectify", "layout", "detect", "measure"};
    const auto and_also = [&a](const std::string& below, const std::string& one_more) {
      Folders all = a[below];
      all.insert(below);
      if (!one_more.empty()) all.insert(one_more);
      return all;
    };
    a["plan"] = and_also("compare", "");
    a["jobbook"] = and_also("plan", "");
    a["report"] = and_also("jobbook", "");
    a["desk"] = and_also("report", "");
    a["gl"] = {"base", "photo"};
    a["viewer"] = and_also("desk", "gl");
    a["cli"] = and_also("desk", "");
    a["main"] = and_also("cli", "viewer");
    return a;
  };
  static const std::map<std::string, Folders> arrows = make();
  return arrows;
}

const std::map<std::string, Folders>& allowed_libraries() {
  static const std::map<std::string, Folders> libraries{
      {"opencv2/imgcodecs", {}},
      {"opencv2/highgui", {}},
      {"opencv2/opencv.hpp", {}},  // takes every module in
      {"opencv2/videoio", {}},
      {"opencv2/aruco", {"rectify", "compare"}},
      {"opencv2/calib3d", {"rectify", "compare"}},
      {"opencv2/features2d", {"rectify", "compare"}},
      {"opencv2/ml", {"detect"}},
      {"opencv2/dnn", {"detect"}},
      {"CLI/", {"cli"}},
      {"imgui", {"viewer", "gl"}},
      {"backends/imgui", {"viewer", "gl"}},
      {"GLFW/", {"viewer", "gl"}},
      {"epoxy/", {"viewer", "gl"}},
      {"GL/", {"viewer", "gl"}},
      {"sqlite3", {"jobbook"}},
      {"cairo", {"report"}},
      {"pango", {"report"}},
      {"libheif/", {"photo"}},
  };
  return libraries;
}

std::vector<std::string> wrong_includes(const fs::path& src) {
  static const std::regex own(R"(#\s*include\s+"([^"/]+)/[^"]+")");
  static const std::regex other(R"(#\s*include\s+<([^>]+)>)");
  std::vector<std::string> wrong;
  for (const fs::path& file : files_under(src)) {
    if (!is_code(file)) continue;
    const std::string from = folder_of(src, file), text = text_of(file);
    const std::string name = fs::relative(file, src).string();
    for (const std::string& to : matches(text, own))
      if (!may_use(from, to)) wrong.push_back(name + " includes from " + to);
    for (const std::string& header : matches(text, other))
      for (const auto& [start, folders] : allowed_libraries())
        if (header.starts_with(start) && !folders.contains(from))
          wrong.push_back(name + " includes <" + header + ">");
  }
  return wrong;
}

std::vector<std::string> wrong_links(const fs::path& src) {
  static const std::regex library("verdigrid_([a-z]+)");
  std::vector<std::string> wrong;
  for (const auto& entry : fs::directory_iterator(src)) {
    const fs::path list = entry.path() / "CMakeLists.txt";
    if (!fs::exists(list)) continue;
    const std::string from = entry.path().filename().string();
    for (const std::string& to : matches(text_of(list), library)) {
      if (allowed_arrows().contains(to) && !may_use(from, to))
        wrong.push_back(from + " links verdigrid_" + to);
    }
  }
  return wrong;
}

std::vector<std::string> unlisted_sources(const fs::path& src) {
  std::vector<std::string> unlisted;
  for (const fs::path& file : files_under(src)) {
    if (file.extension() != ".cpp") continue;
    const std::string list = text_of(file.parent_path() / "CMakeLists.txt");
    const std::string name = file.filename().string();
    const std::regex as_word("(^|[\\s/(\"])" + std::regex_replace(name, std::regex("\\."), "\\.") +
                             "($|[\\s)\"])");
    if (!std::regex_search(list, as_word)) unlisted.push_back(fs::relative(file, src).string());
  }
  return unlisted;
}

std::vector<std::string> repeated_types(const fs::path& src) {
  static const std::regex type(
      R"((?:^|\n)(?:struct|class|enum class) ([A-Z]\w*)(?: final)?(?: : [^;{]*)? \{)");
  // Templates have symbols of their own.
  static const std::regex a_template(R"(template <[^>]*>\s+(struct|class))");
  std::map<std::string, std::vector<std::string>> where;
  for (const fs::path& file : files_under(src))
    if (file.extension() == ".h")
      for (const std::string& name :
           matches(std::regex_replace(text_of(file), a_template, "template $1"), type))
        where[name].push_back(fs::relative(file, src).string());
  std::vector<std::string> repeated;
  for (const auto& [name, files] : where)
    if (files.size() > 1) repeated.push_back(name + " in " + files[0] + " and " + files[1]);
  return repeated;
}

}  // namespace verdigrid::house
