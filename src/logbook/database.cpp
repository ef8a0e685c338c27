#include "logbook/database.h"

#include <sqlite3.h>

#include <utility>

namespace tattletone {

struct Statement::Shared {
    sqlite3* handle = nullptr;
    std::string path;
    std::optional<Error> error;
    ~Shared() { sqlite3_close_v2(handle); }
};

namespace {

Error error_of(int code, const std::string& path) {
    switch (code & 0xff) {
        case SQLITE_FULL:
            return {path, "there is no room to write it",
                    "Make room on the disk and do it again; nothing was stored and nothing is lost"};
        case SQLITE_READONLY:
        case SQLITE_PERM:
        case SQLITE_AUTH:
            return {path, "it may not be written",
                    "Check that you may write this file and its folder; SQLite keeps two files beside it"};
        case SQLITE_CANTOPEN:
            return {path, "it cannot be opened",
                    "Check that its folder exists and that you may read and write there"};
        case SQLITE_NOTADB:
            return {path, "this file is no logbook", "Give the path of a logbook, or of a new file"};
        case SQLITE_CORRUPT:
            return {path, "the logbook is damaged",
                    "Keep a copy of it as it is and go on with the latest backup"};
        case SQLITE_BUSY:
        case SQLITE_LOCKED:
            return {path, "another program is writing to the logbook and did not finish in time",
                    "Wait for it to end and do it again; nothing was stored"};
        case SQLITE_IOERR:
            return {path, "the disk did not do what was asked of it",
                    "Check that it has room and is still there, then do it again; nothing was stored"};
        case SQLITE_NOMEM:
            return {path, "there is not enough memory", "Close other programs and do it again"};
        case SQLITE_TOOBIG:
            return {path, "an entry is too large for the logbook", "Give a shorter text or recording"};
        case SQLITE_CONSTRAINT:
            return {path, "an entry contradicts what the logbook holds",
                    "Run 'tattletone logbook check'; nothing was stored"};
        default:
            return {path, "the logbook could not be used (SQLite's code " + std::to_string(code) + ")",
                    "Run 'tattletone logbook check' and report this with the command line"};
    }
}

// https://www.sqlite.org/uri.html
std::string untouched_uri(const std::string& path) {
    std::string uri = "file:";
    for (const char letter : path) {
        const auto byte = static_cast<unsigned char>(letter);
        const bool plain = (letter >= '0' && letter <= '9') || (letter >= 'A' && letter <= 'Z') ||
                           (letter >= 'a' && letter <= 'z') || std::string_view("/._-").find(letter) != std::string_view::npos;
        if (plain)
            uri += letter;
        else
            uri += {'%', "0123456789ABCDEF"[byte >> 4], "0123456789ABCDEF"[byte & 15]};
    }
    // An absolute path may begin with two slashes, which a URI would take for a host.
    if (path.starts_with('/')) uri.insert(5, "//");
    return uri + "?immutable=1";
}

}  // namespace

Statement::~Statement() {
    sqlite3_finalize(statement_);
}
Statement::Statement(Statement&& other) noexcept
    : shared_(other.shared_), statement_(std::exchange(other.statement_, nullptr)) {}

bool Statement::step() {
    if (shared_->error || statement_ == nullptr) return false;
    const int code = sqlite3_step(statement_);
    if (code == SQLITE_ROW) return true;
    if (code != SQLITE_DONE)
        shared_->error = error_of(sqlite3_extended_errcode(shared_->handle), shared_->path);
    return false;
}

int Statement::columns() const {
    return sqlite3_column_count(statement_);
}
bool Statement::is_null(int column) const {
    return sqlite3_column_type(statement_, column) == SQLITE_NULL;
}
std::int64_t Statement::integer(int column) const {
    return sqlite3_column_int64(statement_, column);
}
double Statement::real(int column) const {
    return sqlite3_column_double(statement_, column);
}
std::optional<double> Statement::real_or_none(int column) const {
    if (is_null(column)) return std::nullopt;
    return real(column);
}
std::string Statement::text(int column) const {
    const auto text = reinterpret_cast<const char*>(sqlite3_column_text(statement_, column));
    if (text == nullptr) return {};
    return {text, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}
std::string Statement::bytes(int column) const {
    const auto bytes = static_cast<const char*>(sqlite3_column_blob(statement_, column));
    if (bytes == nullptr) return {};
    return {bytes, static_cast<std::size_t>(sqlite3_column_bytes(statement_, column))};
}

void Statement::bind(int place, std::nullptr_t) {
    if (statement_ != nullptr) sqlite3_bind_null(statement_, place);
}
void Statement::bind(int place, std::int64_t value) {
    if (statement_ != nullptr) sqlite3_bind_int64(statement_, place, value);
}
void Statement::bind(int place, double value) {
    if (statement_ != nullptr) sqlite3_bind_double(statement_, place, value);
}
void Statement::bind(int place, std::string_view value) {
    if (statement_ != nullptr)
        sqlite3_bind_text(statement_, place, value.data() == nullptr ? "" : value.data(),
                          static_cast<int>(value.size()), SQLITE_TRANSIENT);
}
void Statement::bind(int place, const Blob& value) {
    if (statement_ != nullptr)
        sqlite3_bind_blob(statement_, place, value.bytes.data(), static_cast<int>(value.bytes.size()),
                          SQLITE_TRANSIENT);
}

Result<Database> Database::open(const std::string& path, Mode mode, double busy_seconds) {
    auto shared = std::make_unique<Statement::Shared>();
    shared->path = path;
    int flags = SQLITE_OPEN_NOMUTEX;
    const bool reads = mode == Mode::read_only || mode == Mode::untouched;
    flags |= reads ? SQLITE_OPEN_READONLY : SQLITE_OPEN_READWRITE;
    if (mode == Mode::create) flags |= SQLITE_OPEN_CREATE;
    if (mode == Mode::untouched) flags |= SQLITE_OPEN_URI;
    const std::string name = mode == Mode::untouched ? untouched_uri(path) : path;
    const int code = sqlite3_open_v2(name.c_str(), &shared->handle, flags, nullptr);
    if (code != SQLITE_OK) return error_of(code, path);
    sqlite3_extended_result_codes(shared->handle, 1);
    sqlite3_busy_timeout(shared->handle, static_cast<int>(1000.0 * busy_seconds));
    return Database(std::move(shared));
}

Database::Database(std::unique_ptr<Statement::Shared> shared) : shared_(std::move(shared)) {}
Database::~Database() = default;
Database::Database(Database&&) noexcept = default;
Database& Database::operator=(Database&&) noexcept = default;

Statement Database::prepare(const char* sql) {
    sqlite3_stmt* statement = nullptr;
    if (!shared_->error) {
        const int code = sqlite3_prepare_v2(shared_->handle, sql, -1, &statement, nullptr);
        if (code != SQLITE_OK) shared_->error = error_of(code, shared_->path);
    }
    return {shared_.get(), statement};
}

bool Database::script(const char* sql) {
    if (shared_->error) return false;
    const int code = sqlite3_exec(shared_->handle, sql, nullptr, nullptr, nullptr);
    if (code != SQLITE_OK) shared_->error = error_of(code, shared_->path);
    return code == SQLITE_OK;
}

std::int64_t Database::number(const char* sql) {
    Statement statement = query(sql);
    return statement.step() ? statement.integer(0) : 0;
}

bool Database::failed() const {
    return shared_->error.has_value();
}
Error Database::take_error() {
    return *std::exchange(shared_->error, std::nullopt);
}
void Database::fail(Error error) {
    if (!shared_->error) shared_->error = std::move(error);
}
int Database::changes() const {
    return sqlite3_changes(shared_->handle);
}
const std::string& Database::path() const {
    return shared_->path;
}
sqlite3* Database::handle() const {
    return shared_->handle;
}

Transaction::Transaction(Database& database) : database_(database) {
    open_ = database_.script("BEGIN IMMEDIATE");
}

Transaction::~Transaction() {
    if (open_) sqlite3_exec(database_.handle(), "ROLLBACK", nullptr, nullptr, nullptr);
}

std::optional<Error> Transaction::commit() {
    if (!database_.failed() && open_ && database_.script("COMMIT")) {
        open_ = false;
        return std::nullopt;
    }
    return database_.take_error();
}

}  // namespace tattletone
