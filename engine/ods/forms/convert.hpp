// Between flat documents and packages (ODF 1.3 part 2 and part 3, section 2.1).
#pragma once

#include <string>
#include <string_view>

#include "engine/base/result.hpp"
#include "engine/ods/markup/xml.hpp"
#include "engine/ods/package/zip.hpp"

namespace loftledger::ods {

inline constexpr int kMostLevels = 8;  // of documents inside documents

// Whether the element may hold a picture or a document in itself, or refer to one in a package.
bool holds_data(Name element);

// A package that holds what the flat document holds; pictures and embedded documents become
// entries of their own.
Result<std::string> package_from_flat(std::string_view flat, std::string_view mimetype);

// A flat document with the package's styles, settings, pictures and embedded documents, and with
// `content` in place of its content.xml. What a flat document has no place for is left out:
// thumbnails, signatures, macros.
Result<std::string> flat_from_package(const Archive& archive, std::string_view content);

// The manifest with that type for the package as a whole.
Result<std::string> manifest_of_type(std::string_view manifest, std::string_view mimetype);

// The attributes of a document's root, as they stand, that hold in either form: all but its
// namespaces, its version and its type.
std::string other_attributes(const Scanner& scanner);

}  // namespace loftledger::ods
