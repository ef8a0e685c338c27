#include "logbook/storage/database.h"

#include <sqlite3.h>

#include <filesystem>
#include <utility>

#include "base/files/paths.h"

namespace tattletone::logbook {

struct Statement::Shared {
    sqlite3* handle = nullptr;
    std::string path;
    std::optional<Error> error;
    std::int64_t* steps = nullptr;  ///< of the statement that is at work
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
            return {path, "it cannot be opened", "Check that its folder exists and that you may read and write there"};
        case SQLITE_NOTADB:
            return {path, "this file is no logbook", "Give the path of a logbook, or of a new file"};
        case SQLITE_CORRUPT:
            return {path, "the logbook is damaged", "Keep a copy of it as it is and go on with the latest backup"};
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
        case SQLITE_INTERRUPT:
            return {path, "reading it would never come to an end, so its content is not what a logbook has",
                    "Go on with the latest backup, and ask whoever gave you this file for another copy"};
        default:
            return {path, "the logbook could not be used (SQLite's code " + std::to_string(code) + ")",
                    "Run 'tattletone logbook check' and report this with the command line"};
    }
}

constexpr int steps_a_look = 100'000;
constexpr std::int64_t least_steps = 50'000'000;

/// A statement reads each page a few times and has some dozens of steps for each row on it. A file whose
/// pages lead to one another again and again would keep it at work for ever.
std::int64_t most_steps_for(const Statement::Shared& shared) {
    std::uintmax_t bytes = 0;
    const char* const attached = sqlite3_db_filename(shared.handle, "there");
    for (const std::string& path : {shared.path, shared.path + "-wal", std::string(attached ? attached : "")}) {
        std::error_code problem;
        const std::uintmax_t size = std::filesystem::file_size(base::path_of(path), problem);
        if (!problem) bytes += size;
    }
    return least_steps + 12 * static_cast<std::int64_t>(bytes);
}

int look_at_steps(void* context) {
    const auto& shared = *static_cast<const Statement::Shared*>(context);
    if (shared.steps == nullptr) return 0;
    *shared.steps += steps_a_look;
    // The size is looked up only where it matters.
    return *shared.steps > least_steps && *shared.steps > most_steps_for(shared);
}

/// Whoever wrote the file, nothing in it runs: no trigger, view, extension or function of its schema, and
/// no entry is larger than what the program itself would store.
void harden(sqlite3* handle) {
    sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_VIEW, 0, nullptr);
    sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_LOAD_EXTENSION, 0, nullptr);
    sqlite3_limit(handle, SQLITE_LIMIT_LENGTH, static_cast<int>(most_bytes_an_entry));
    sqlite3_limit(handle, SQLITE_LIMIT_SQL_LENGTH, 1'000'000);
    sqlite3_limit(handle, SQLITE_LIMIT_ATTACHED, 1);
    sqlite3_limit(handle, SQLITE_LIMIT_COLUMN, 100);
    sqlite3_limit(handle, SQLITE_LIMIT_EXPR_DEPTH, 100);
    sqlite3_limit(handle, SQLITE_LIMIT_TRIGGER_DEPTH, 10);
    sqlite3_exec(handle, "PRAGMA cell_size_check = ON", nullptr, nullptr, nullptr);
}

/// Makes the steps that SQLite counts those of one statement.
class StepCount {
  public:
    StepCount(std::int64_t*& place, std::int64_t* steps) : place_(place), outer_(std::exchange(place, steps)) {}
    ~StepCount() { place_ = outer_; }
    StepCount(const StepCount&) = delete;
    StepCount& operator=(const StepCount&) = delete;

  private:
    std::int64_t*& place_;
    std::int64_t* outer_;
};

// https://www.sqlite.org/uri.html
std::string untouched_uri(const std::string& path) {
    std::string uri = "file:";
    for (const char letter : path) {
        const auto byte = static_cast<unsigned char>(letter);
        const bool plain = (letter >= '0' && letter <= '9') || (letter >= 'A' && letter <= 'Z') ||
                           (letter >= 'a' && letter <= 'z') ||
                           std::string_view("/._-").find(letter) != std::string_view::npos;
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
    : shared_(other.shared_), statement_(std::exchange(other.statement_, nullptr)), steps_(other.steps_) {}

bool Statement::step() {
    if (shared_->error || statement_ == nullptr) return false;
    const StepCount counting(shared_->steps, &steps_);
    const int code = sqlite3_step(statement_);
    if (code == SQLITE_ROW) return true;
    if (code != SQLITE_DONE) shared_->error = error_of(sqlite3_extended_errcode(shared_->handle), shared_->path);
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

// A value without a place is no error: some statements are put together from parts, each with its own.
void Statement::took(int code) {
    if (code != SQLITE_OK && code != SQLITE_RANGE && !shared_->error) shared_->error = error_of(code, shared_->path);
}
void Statement::bind(int place, std::nullptr_t) {
    if (statement_ != nullptr) took(sqlite3_bind_null(statement_, place));
}
void Statement::bind(int place, std::int64_t value) {
    if (statement_ != nullptr) took(sqlite3_bind_int64(statement_, place, value));
}
void Statement::bind(int place, double value) {
    if (statement_ != nullptr) took(sqlite3_bind_double(statement_, place, value));
}
void Statement::bind(int place, std::string_view value) {
    if (statement_ != nullptr)
        took(sqlite3_bind_text64(statement_, place, value.data() == nullptr ? "" : value.data(), value.size(),
                                 SQLITE_TRANSIENT, SQLITE_UTF8));
}
void Statement::bind(int place, const Blob& value) {
    if (statement_ != nullptr)
        took(sqlite3_bind_blob64(statement_, place, value.bytes.data(), value.bytes.size(), SQLITE_TRANSIENT));
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
    harden(shared->handle);
    sqlite3_progress_handler(shared->handle, steps_a_look, look_at_steps, shared.get());
    return Database(std::move(shared));
}

Database::Database(std::unique_ptr<Statement::Shared> shared) : shared_(std::move(shared)) {}
Database::~Database() = default;
Database::Database(Database&&) noexcept = default;
Database& Database::operator=(Database&&) noexcept = default;

Statement Database::prepare(const char* sql) {
    sqlite3_stmt* statement = nullptr;
    if (!shared_->error) {
        std::int64_t steps = 0;
        const StepCount counting(shared_->steps, &steps);
        const int code = sqlite3_prepare_v2(shared_->handle, sql, -1, &statement, nullptr);
        if (code != SQLITE_OK) shared_->error = error_of(code, shared_->path);
    }
    return {shared_.get(), statement};
}

bool Database::script(const char* sql) {
    if (shared_->error) return false;
    std::int64_t steps = 0;
    const StepCount counting(shared_->steps, &steps);
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

}  // namespace tattletone::logbook
